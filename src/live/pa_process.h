/* The door through which PortAudio enters. */
#ifndef EVENHAND_PA_PROCESS_H
#define EVENHAND_PA_PROCESS_H

#include <portaudio.h>

#include "evenhand/clock.h"

/* A PaStreamCallback; USER is a struct eh_click_process. RT_SAFE. */
int eh_pa_process(const void *input, void *output, unsigned long frames,
                  const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                  void *user) EH_RT_SAFE;

#endif
