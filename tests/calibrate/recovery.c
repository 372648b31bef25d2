#include "recovery.h"

#include <math.h>

size_t recovery_pad_count(void) {
    return 12;
}

struct tapper_pad recovery_pad(size_t index) {
    struct tapper_pad pad = tapper_pad_of("linear", 1.0);
    pad.delay_ms = 12.0;
    switch (index) {
    case 1:
        pad.name = "hot, law 2";
        pad.law = 2.0;
        break;
    case 2:
        pad.name = "dull, law 0.7";
        pad.law = 0.7;
        pad.top_db = 8.0;
        break;
    case 3:
        pad.name = "straight in dB";
        pad.curve = CURVE_STRAIGHT;
        pad.range = 32.0;
        break;
    case 4:
        pad.name = "saturating at 110";
        pad.top_db = 6.5;
        pad.top = 110.0;
        break;
    case 5:
        pad.name = "saturating at 127";
        pad.top_db = 4.0;
        break;
    case 6:
        pad.name = "floor 8";
        pad.floor = 8.0;
        break;
    case 7:
        pad.name = "floor 20";
        pad.floor = 20.0;
        break;
    case 8:
        pad.name = "steps of 8, echoes";
        pad.step = 8.0;
        pad.echo_share = 0.1;
        pad.echo_ms = 35.0;
        pad.echo_db = 1.0;
        break;
    case 9:
        pad.name = "dead 25 ms, no mask";
        pad.dead_ms = 25.0;
        pad.mask_db = -60.0;
        pad.mask_db_per_ms = 0.0;
        break;
    case 10:
        pad.name = "bent up 2 dB, law 2";
        pad.law = 2.0;
        pad.bend_db = 1.0;
        pad.bend_at_db = -16.0;
        break;
    case 11:
        pad.name = "bent down 2 dB";
        pad.bend_db = -2.0;
        pad.bend_at_db = -16.0;
        break;
    default:
        break;
    }
    return pad;
}

static double covered(const struct eh_estimate *estimate, double truth) {
    return estimate->low <= truth && truth <= estimate->high ? 1.0 : 0.0;
}

struct sums {
    double runs, found, square, points, worst, covers, marks, width, scale, scale_covers, scale_sd,
        scale_square;
    double floor, floor_found, floor_covers, top, top_found;
    double mask, mask_square, masks, mask_covers;
    double dead, dead_square, deads, dead_covers;
    double delay, delay_square, delays, delay_covers;
};

/* What scale_sd is about: differences of levels as they stand between taps and accents, 4 to 16 dB,
 * wherever they lie. */
static void add_differences(const double *level, const double *error, size_t n, double scale_sd,
                            struct sums *sums) {
    double pairs = 0;
    double covers = 0;
    double square = 0;
    for (size_t i = 0; i < n; i++) {
        for (size_t k = i + 4; k < n && level[k] - level[i] <= 16.0; k++) {
            const double off = log(1.0 + (error[k] - error[i]) / (level[k] - level[i]));
            covers += fabs(off) <= 1.645 * scale_sd;
            square += off * off;
            pairs += 1;
        }
    }
    sums->scale_covers += covers / pairs;
    sums->scale_square += square / pairs;
    sums->scale_sd += scale_sd;
}

static bool was_heard(const struct eh_calibrate_mark *mark) {
    return mark->state == EH_CALIBRATE_CLEAR || mark->state == EH_CALIBRATE_MERGED;
}

/* The map against the truth, in the player's own marks, from the softest to the loudest dynamic
 * that was heard, at each dB of them; a constant is no error. */
static void add_map(const struct tapper_pad *pad, double contrast, const struct eh_calibration *c,
                    struct sums *sums) {
    double error[64];
    double level[64];
    size_t n = 0;
    double mean = 0;
    double mean_level = 0;
    int softest = 0;
    int loudest = EH_CALIBRATE_MARKS - 1;
    for (; softest < loudest && !was_heard(&c->marks[softest]); softest++) {
    }
    for (; loudest > softest && !was_heard(&c->marks[loudest]); loudest--) {
    }
    for (int step = -15; step <= 6; step++) {
        const double db = step;
        const double v = tapper_velocity(pad, contrast * db);
        const bool between = db >= eh_calibrate_written_db(softest) - 0.5 &&
                             db <= eh_calibrate_written_db(loudest) + 0.5;
        if (between && v >= fmax(pad->floor, 1.0) && v <= pad->top) {
            level[n] = db;
            error[n] = eh_pad_level_db(&c->pad, v) - db;
            mean += error[n];
            mean_level += db;
            n++;
        }
    }
    mean /= (double)n;
    mean_level /= (double)n;
    double worst = 0;
    double across = 0;
    double square = 0;
    for (size_t i = 0; i < n; i++) {
        const double e = error[i] - mean;
        sums->square += e * e;
        worst = fmax(worst, fabs(e));
        across += (level[i] - mean_level) * (error[i] - mean + level[i] - mean_level);
        square += (level[i] - mean_level) * (level[i] - mean_level);
    }
    sums->points += (double)n;
    sums->worst += worst;
    sums->scale += across / square;
    add_differences(level, error, n, c->pad.levels.scale_sd, sums);
}

/* The printed intervals of the marks: true level at the printed velocity, a constant taken out. */
static void add_marks(const struct tapper_pad *pad, double contrast, const struct eh_calibration *c,
                      struct sums *sums) {
    double off = 0;
    double n = 0;
    for (int pass = 0; pass < 2; pass++) {
        for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
            const struct eh_calibrate_mark *m = &c->marks[mark];
            if (m->state != EH_CALIBRATE_CLEAR) {
                continue;
            }
            const double truth = tapper_level(pad, m->velocity.value) / contrast;
            if (pass == 0) {
                off += m->level_db.value - truth;
                n += 1;
            } else {
                sums->covers += covered(&m->level_db, truth + off / n);
                sums->marks += 1;
                sums->width += m->level_db.high - m->level_db.low;
            }
        }
    }
}

static void add_figure(const struct eh_calibrate_figure *figure, double truth, double *sum,
                       double *square, double *count, double *covers) {
    if (figure->sure == EH_CALIBRATE_FOUND) {
        const double error = figure->estimate.value - truth;
        *sum += error;
        *square += error * error;
        *count += 1;
        *covers += covered(&figure->estimate, truth);
    }
}

static void add_run(const struct tapper_pad *pad, double contrast, const struct eh_calibration *c,
                    struct sums *sums) {
    sums->runs += 1;
    if (c->levels_found) {
        sums->found += 1;
        add_map(pad, contrast, c, sums);
        add_marks(pad, contrast, c, sums);
    }
    sums->floor += c->floor.estimate.value;
    sums->floor_found += c->floor.sure == EH_CALIBRATE_FOUND;
    sums->floor_covers += covered(&c->floor.estimate, pad->floor);
    sums->top += c->top.estimate.value;
    sums->top_found += c->top.sure == EH_CALIBRATE_FOUND;
    add_figure(&c->mask_db, pad->mask_db - EH_CALIBRATE_MASK_TOLD_MS * pad->mask_db_per_ms,
               &sums->mask, &sums->mask_square, &sums->masks, &sums->mask_covers);
    add_figure(&c->dead_ms, pad->dead_ms, &sums->dead, &sums->dead_square, &sums->deads,
               &sums->dead_covers);
    add_figure(&c->delay_ms, pad->delay_ms, &sums->delay, &sums->delay_square, &sums->delays,
               &sums->delay_covers);
}

static double deviation(double sum, double square, double n) {
    return sqrt(fmax(square / n - sum / n * sum / n, 0.0));
}

struct recovery recover(const struct tapper_pad *pad, const struct tapper_player *player, int runs,
                        int taps) {
    struct sums s = {0};
    for (int run = 0; run < runs; run++) {
        struct eh_calibration c;
        tapper_calibrate(pad, player, taps, (uint64_t)run + 1, &c);
        add_run(pad, tapper_contrast(player, (uint64_t)run + 1), &c, &s);
    }
    return (struct recovery){
        .found = s.found / s.runs,
        .rms_db = sqrt(s.square / s.points),
        .worst_db = s.worst / s.found,
        .level_covers = s.covers / s.marks,
        .level_width_db = s.width / s.marks,
        .scale_bias = s.scale / s.found,
        .scale_covers = s.scale_covers / s.found,
        .scale_sd = s.scale_sd / s.found,
        .scale_error = sqrt(s.scale_square / s.found),
        .floor = s.floor / s.runs,
        .floor_found = s.floor_found / s.runs,
        .floor_covers = s.floor_covers / s.runs,
        .top = s.top / s.runs,
        .top_found = s.top_found / s.runs,
        .mask_bias = s.mask / s.masks,
        .mask_sd = deviation(s.mask, s.mask_square, s.masks),
        .mask_found = s.masks / s.runs,
        .mask_covers = s.mask_covers / s.masks,
        .dead_bias = s.dead / s.deads,
        .dead_sd = deviation(s.dead, s.dead_square, s.deads),
        .dead_found = s.deads / s.runs,
        .dead_covers = s.dead_covers / s.deads,
        .delay_bias = s.delay / s.delays,
        .delay_sd = deviation(s.delay, s.delay_square, s.delays),
        .delay_covers = s.delay_covers / s.delays,
    };
}
