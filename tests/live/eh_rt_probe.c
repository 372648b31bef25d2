/* Shows that our callbacks neither allocate, nor lock, nor wait: a tool for tests of the live path.
 *
 *     eh_rt_probe [-s SECONDS] [-x malloc|free|lock|write]
 *
 * Allocation, locking, waiting and writing are defined here, so that every library in the process
 * comes here first; while a callback of ours runs, each such call is counted. The callbacks are
 * wrapped by the linker (--wrap), the product itself is untouched. -x plants a forbidden call into
 * the MIDI callback, to see that it is found. Exit 1 when anything was counted, or when one of the
 * callbacks never ran. */
#define _GNU_SOURCE /* NOLINT: RTLD_NEXT */
#include <dlfcn.h>
#include <inttypes.h>
#include <pthread.h>
#include <semaphore.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <jack/jack.h>
#include <portaudio.h>

#include "evenhand/click.h"
#include "evenhand/clock.h"
#include "evenhand/midi_in.h"

static _Thread_local int inside;
static atomic_int forbidden;
static const char *_Atomic first_forbidden;

static void seen(const char *what) {
    if (inside > 0) {
        const char *none = NULL;
        atomic_fetch_add(&forbidden, 1);
        atomic_compare_exchange_strong(&first_forbidden, &none, what);
    }
}

/* glibc's own names for what is defined below. NOLINTBEGIN: reserved names */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);
void *__libc_memalign(size_t alignment, size_t size);
void __libc_free(void *old);
/* NOLINTEND */

void *malloc(size_t size) {
    seen("malloc");
    return __libc_malloc(size);
}
void *calloc(size_t count, size_t size) {
    seen("calloc");
    return __libc_calloc(count, size);
}
void *realloc(void *old, size_t size) {
    seen("realloc");
    return __libc_realloc(old, size);
}
void *aligned_alloc(size_t alignment, size_t size) {
    seen("aligned_alloc");
    return __libc_memalign(alignment, size);
}
void free(void *old) {
    seen("free");
    __libc_free(old);
}

/* The next definition of a function, found once. NOLINTBEGIN: a type cannot stand in brackets */
#define NEXT(result, name, parameters)                                                             \
    static result(*real) parameters;                                                               \
    if (real == NULL) {                                                                            \
        *(void **)&real = dlsym(RTLD_NEXT, #name);                                                 \
    }                                                                                              \
    seen(#name)
/* NOLINTEND */

int pthread_mutex_lock(pthread_mutex_t *mutex) {
    NEXT(int, pthread_mutex_lock, (pthread_mutex_t *));
    return real(mutex);
}
int pthread_rwlock_rdlock(pthread_rwlock_t *lock) {
    NEXT(int, pthread_rwlock_rdlock, (pthread_rwlock_t *));
    return real(lock);
}
int pthread_rwlock_wrlock(pthread_rwlock_t *lock) {
    NEXT(int, pthread_rwlock_wrlock, (pthread_rwlock_t *));
    return real(lock);
}
int pthread_cond_wait(pthread_cond_t *condition, pthread_mutex_t *mutex) {
    NEXT(int, pthread_cond_wait, (pthread_cond_t *, pthread_mutex_t *));
    return real(condition, mutex);
}
int sem_wait(sem_t *semaphore) {
    NEXT(int, sem_wait, (sem_t *));
    return real(semaphore);
}
int nanosleep(const struct timespec *pause, struct timespec *left) {
    NEXT(int, nanosleep, (const struct timespec *, struct timespec *));
    return real(pause, left);
}
ssize_t write(int file, const void *bytes, size_t count) {
    NEXT(ssize_t, write, (int, const void *, size_t));
    return real(file, bytes, count);
}

static atomic_int midi_calls, audio_calls, jack_calls;
static const char *plant = "";

static void plant_it(void) {
    static pthread_mutex_t mutex = PTHREAD_MUTEX_INITIALIZER;
    if (strcmp(plant, "malloc") == 0) {
        free(malloc(10));
    } else if (strcmp(plant, "lock") == 0) {
        pthread_mutex_lock(&mutex);
        pthread_mutex_unlock(&mutex);
    } else if (strcmp(plant, "strdup") == 0) {
        free(strdup("x")); /* allocates inside libc */
    } else if (strcmp(plant, "write") == 0) {
        (void)!write(2, "", 0);
    }
}

/* The linker sends calls of the callbacks here. NOLINTBEGIN: its names */
void __real_eh_midi_process(double delta_s, const unsigned char *message, size_t length,
                            void *user);
void __wrap_eh_midi_process(double delta_s, const unsigned char *message, size_t length,
                            void *user);
int __real_eh_pa_process(const void *input, void *output, unsigned long frames,
                         const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                         void *user);
int __wrap_eh_pa_process(const void *input, void *output, unsigned long frames,
                         const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                         void *user);
int __real_eh_jack_process(jack_nframes_t frames, void *argument);
int __wrap_eh_jack_process(jack_nframes_t frames, void *argument);

void __wrap_eh_midi_process(double delta_s, const unsigned char *message, size_t length,
                            void *user) {
    inside++;
    atomic_fetch_add(&midi_calls, 1);
    plant_it();
    __real_eh_midi_process(delta_s, message, length, user);
    inside--;
}

int __wrap_eh_pa_process(const void *input, void *output, unsigned long frames,
                         const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                         void *user) {
    inside++;
    atomic_fetch_add(&audio_calls, 1);
    const int result = __real_eh_pa_process(input, output, frames, time, flags, user);
    inside--;
    return result;
}

int __wrap_eh_jack_process(jack_nframes_t frames, void *argument) {
    inside++;
    atomic_fetch_add(&jack_calls, 1);
    const int result = __real_eh_jack_process(frames, argument);
    inside--;
    return result;
}
/* NOLINTEND */

static void run(struct eh_midi_in *in, struct eh_click *click, double seconds) {
    const int64_t end_ns = eh_clock_now_ns() + (int64_t)(seconds * 1e9);
    const struct timespec pause = {.tv_sec = 0, .tv_nsec = 3000000};
    struct eh_click_sounded sounded[64];
    struct eh_hit hits[64];
    long beats = 0, clicks = 0, heard = 0;
    while (eh_clock_now_ns() < end_ns) {
        const struct eh_click_beat beat = {
            .due_ns = beats * 50000000, .sound = (uint8_t)(beats % 3), .at = beats};
        if (eh_click_zero_ns(click) + beat.due_ns < eh_clock_now_ns() + 400000000) {
            beats += (long)eh_click_schedule(click, &beat, 1);
        }
        clicks += (long)eh_click_sounded(click, sounded, 64);
        heard += (long)eh_midi_in_poll(in, hits, 64);
        if (eh_midi_in_health(in) != EH_MIDI_WELL || eh_click_health(click) != EH_CLICK_WELL) {
            break;
        }
        nanosleep(&pause, NULL);
    }
    printf("hits %ld clicks %ld worst_callback_ns midi %" PRId64 " audio %" PRId64 "\n", heard,
           clicks, eh_midi_in_worst_callback_ns(in), eh_click_worst_callback_ns(click));
}

static int verdict(void) {
    const char *first = atomic_load(&first_forbidden);
    printf("callbacks midi %d audio %d jack %d, forbidden calls %d%s%s\n", atomic_load(&midi_calls),
           atomic_load(&audio_calls), atomic_load(&jack_calls), atomic_load(&forbidden),
           first == NULL ? "" : ", first ", first == NULL ? "" : first);
    return atomic_load(&forbidden) > 0 || atomic_load(&midi_calls) == 0 ||
           atomic_load(&audio_calls) == 0 || atomic_load(&jack_calls) == 0;
}

int main(int argc, char **argv) {
    const struct eh_click_request request = {.volume = 0.5};
    struct eh_midi_in *in;
    struct eh_click *click;
    struct eh_error error = {0};
    double seconds = 5;
    for (int option; (option = getopt(argc, argv, "s:x:")) != -1;) {
        if (option == 's') {
            seconds = strtod(optarg, NULL);
        } else if (option == 'x') {
            plant = optarg;
        } else {
            return 2;
        }
    }
    if (eh_midi_in_open(&in, "virtual", &error) != EH_OK ||
        eh_click_open(&click, &request, &error) != EH_OK ||
        eh_click_start(click, EH_NS_PER_S / 2) != EH_OK) {
        fprintf(stderr, "eh_rt_probe: %s\n", error.text);
        return 1;
    }
    run(in, click, seconds);
    eh_midi_in_close(in);
    eh_click_close(click);
    return verdict();
}
