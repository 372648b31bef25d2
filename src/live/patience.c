#include "patience.h"

#include <pthread.h>
#include <semaphore.h>
#include <stdlib.h>
#include <time.h>

#include <errno.h>

struct job {
    void (*work)(void *argument);
    void *argument;
    sem_t done;
};

static void *run(void *argument) {
    struct job *job = argument;
    job->work(job->argument);
    sem_post(&job->done);
    return NULL;
}

static bool wait_ms(sem_t *done, int ms) {
    struct timespec until; /* sem_timedwait knows only CLOCK_REALTIME */
    clock_gettime(CLOCK_REALTIME, &until);
    until.tv_sec += ms / 1000;
    until.tv_nsec += (long)(ms % 1000) * 1000000;
    if (until.tv_nsec >= 1000000000) {
        until.tv_sec++;
        until.tv_nsec -= 1000000000;
    }
    int result;
    do {
        result = sem_timedwait(done, &until);
    } while (result != 0 && errno == EINTR);
    return result == 0;
}

/* Jobs that never ended, so that what they use counts as used. */
static struct job *unfinished;

bool eh_with_patience(void (*work)(void *argument), void *argument, int ms) {
    struct job *job = calloc(1, sizeof *job);
    pthread_t thread;
    if (job == NULL) {
        return false;
    }
    job->work = work;
    job->argument = argument;
    sem_init(&job->done, 0, 0);
    if (pthread_create(&thread, NULL, run, job) != 0) {
        free(job);
        return false;
    }
    if (!wait_ms(&job->done, ms)) {
        pthread_detach(thread);
        unfinished = job;
        return false;
    }
    pthread_join(thread, NULL);
    sem_destroy(&job->done);
    free(job);
    return true;
}
