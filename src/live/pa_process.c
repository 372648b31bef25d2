/* PortAudio's callback. Everything here is RT_SAFE. */
#include "pa_process.h"

#include "click_process.h"
#include "evenhand/time.h"

/* The driver's own word on how long the block needs until it sounds, where that is plausible: some
 * drivers leave the times at 0. Only the difference is used, as PortAudio's clock may be another
 * than ours. */
static int64_t latency_ns(const struct eh_click_process *process,
                          const PaStreamCallbackTimeInfo *time) EH_RT_SAFE {
    const double s = time == NULL ? 0 : time->outputBufferDacTime - time->currentTime;
    return s > 0 && s < 1 ? (int64_t)(s * 1e9) : process->fallback_latency_ns;
}

int eh_pa_process(const void *input, void *output, unsigned long frames,
                  const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                  void *user) EH_RT_SAFE {
    struct eh_click_process *process = user;
    const int64_t now_ns = eh_clock_now_ns();
    const struct eh_click_block block = {
        .out = output,
        .frames = frames,
        .now_ns = now_ns,
        .latency_ns = latency_ns(process, time),
        .underflow = (flags & paOutputUnderflow) != 0,
    };
    (void)input;
    eh_click_process(process, &block);
    return paContinue;
}
