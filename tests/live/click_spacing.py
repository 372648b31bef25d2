"""Looks for the clicks in recordings of our output and checks their distances.

click_spacing.py SECONDS BPM=FILE.wav ... ; the files are 16-bit PCM.
"""
import array
import sys
import wave


def onsets(path):
    """Frames at which the sound leaves silence (1 % of full scale, after 10 ms below it)."""
    with wave.open(path) as file:
        assert file.getsampwidth() == 2, 'expected 16 bits'
        channels, rate = file.getnchannels(), file.getframerate()
        samples = array.array('h', file.readframes(file.getnframes()))[::channels]
    found, quiet, hold = [], rate, rate // 100
    for i, sample in enumerate(samples):
        if -327 < sample < 327:
            quiet += 1
        else:
            if quiet > hold:
                found.append(i)
            quiet = 0
    return found, rate


def main():
    seconds, failed = float(sys.argv[1]), False
    for argument in sys.argv[2:]:
        bpm, path = argument.split('=', 1)
        found, rate = onsets(path)
        step = 60 / float(bpm) * rate
        errors = [(b - a - step) / rate * 1e3 for a, b in zip(found, found[1:])]
        whole = [(f - found[0] - i * step) / rate * 1e3 for i, f in enumerate(found)]
        wanted = int(seconds * float(bpm) / 60)
        worst = max(map(abs, errors), default=99)
        drift = max(map(abs, whole), default=99)
        good = len(found) >= wanted and worst <= 1 and drift <= 1
        failed |= not good
        print(f'{bpm} bpm: {len(found)} clicks (at least {wanted}), distance wrong by at most '
              f'{worst:.3f} ms, place from the first by at most {drift:.3f} ms'
              f'{"" if good else "  WRONG"}')
    return failed


sys.exit(main())
