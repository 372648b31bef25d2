/* PortAudio, guarded: its life, its devices, one output stream.
 *
 * When a JACK server that PortAudio knows of dies, stopping, closing and terminating hang for ten
 * minutes or abort the process. Then PortAudio is left alone for the rest of the process. */
#ifndef EVENHAND_PA_AUDIO_H
#define EVENHAND_PA_AUDIO_H

#include <stdbool.h>

#include "click_process.h"
#include "evenhand/click.h"

/* Holds PortAudio ready; once for each drop. Errors: EH_UNAVAILABLE, EH_GONE. */
enum eh_status eh_audio_hold(struct eh_error *error);
void eh_audio_drop(void);

/* While held: the devices that can sound; with the numbers by which PortAudio knows them. */
enum eh_status eh_audio_list(struct eh_audio_list *out_list, int **out_pa, struct eh_error *error);

struct eh_audio_stream; /* opaque */

/* Opens and starts a stream on PortAudio's device PA. SETUP is called once the rate and the number
 * of channels are known, before the callback runs. Errors: EH_UNAVAILABLE, EH_NO_MEMORY and what
 * SETUP returns. */
typedef enum eh_status eh_audio_setup_fn(struct eh_click_process *process,
                                         const struct eh_click_granted *granted, double volume);
enum eh_status eh_audio_open(struct eh_audio_stream **out_stream, int pa,
                             const struct eh_click_request *request, eh_audio_setup_fn *setup,
                             struct eh_click_process *process, struct eh_click_granted *out_granted,
                             struct eh_error *error);

/* False when the device or its server has gone. */
bool eh_audio_runs(const struct eh_audio_stream *stream);

/* Stops and closes within MS; false when that was not possible: what the callback uses must then be
 * left alone. */
bool eh_audio_close(struct eh_audio_stream *stream, int ms);

#endif
