/* Hands where nobody wrote them. */
#include "evenhand/build.h"

static uint8_t other(uint8_t hand) {
    return hand == EH_HAND_RIGHT ? EH_HAND_LEFT : EH_HAND_RIGHT;
}

void eh_hands_fill(uint8_t *hands, size_t count) {
    size_t first = 0;
    while (first < count && hands[first] == EH_HAND_UNSAID) {
        first++;
    }
    if (first == count && count > 0) {
        hands[0] = EH_HAND_RIGHT;
        first = 0;
    }
    for (size_t i = first; i > 0; i--) {
        hands[i - 1] = other(hands[i]);
    }
    for (size_t i = first + 1; i < count; i++) {
        if (hands[i] == EH_HAND_UNSAID) {
            hands[i] = other(hands[i - 1]);
        }
    }
}

enum eh_hand eh_hand_of_grace(enum eh_hand hand, int count, int k) {
    const bool same = count > 2 && (count - k) % 2 == 0;
    return same ? hand : (enum eh_hand)other((uint8_t)hand);
}
