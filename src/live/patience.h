/* Doing something that may never return. */
#ifndef EVENHAND_PATIENCE_H
#define EVENHAND_PATIENCE_H

#include <stdbool.h>

/* Runs WORK(ARGUMENT) on a thread of its own and waits for at most MS. False when it was not done
 * by then: the thread goes on, and ARGUMENT must be left alone for good. */
bool eh_with_patience(void (*work)(void *argument), void *argument, int ms);

#endif
