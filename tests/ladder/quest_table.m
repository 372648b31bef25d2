% Writes quest_table.h: what QUEST's authors' own code (Psychtoolbox-3, Quest*.m) says of the
% answers below. Debian 12, once:
%   apt-get install octave psychtoolbox-3-common   (the latter is 26 MB, 650 MB unpacked)
%   octave-cli -q --path /usr/share/psychtoolbox-3/Quest tests/ladder/quest_table.m > tests/ladder/quest_table.h
% A row: range in decades about 1.9, curves, answers at grid points (index, clean, unclean), and the
% posterior's mean, standard deviation and 5, 50, 95 % points (log10 of the tempo).
1;
function say_case(name, range, curves, answers)
  grid = 480; grain = range / grid; total = zeros(1, grid + 1);
  for c = 1:rows(curves)
    slope = curves(c, 1); gamma = curves(c, 2); lapse = curves(c, 3);
    q = QuestCreate(1.9, 1e4, 0.25, slope, lapse / (1 - gamma), gamma, grain, range);
    q.normalizePdf = 0;
    for a = 1:rows(answers)
      x = 1.9 + (answers(a, 1) - grid / 2) * grain;
      for k = 1:answers(a, 2) q = QuestUpdate(q, x, 0); end
      for k = 1:answers(a, 3) q = QuestUpdate(q, x, 1); end
    end
    total = total + q.pdf;
  end
  q.pdf = total / sum(total);
  printf('    {"%s", %g, %d, {', name, range, rows(curves));
  printf('{%g, %g, %g}, ', curves');
  printf('}, %d, {', rows(answers));
  printf('{%d, %d, %d}, ', answers');
  printf('},\n     %.8f, %.8f, %.8f, %.8f, %.8f},\n', QuestMean(q), QuestSd(q), ...
         QuestQuantile(q, 0.05), QuestQuantile(q, 0.5), QuestQuantile(q, 0.95));
end
printf('/* Written by quest_table.m: Psychtoolbox 3.0.18.12 (Debian 3.0.18.12.dfsg1-1.1), GNU Octave %s. */\n', version());
printf('static const struct quest_case quest_cases[] = {\n');
climb = [120 2 0; 160 2 0; 200 2 0; 240 3 1; 280 1 3; 320 0 2];
say_case('one curve, gentle', 0.6, [10 0.02 0.02], climb);
say_case('one curve, steep', 0.6, [80 0.02 0.02], climb);
say_case('no false alarms to speak of', 0.6, [20 0.001 0.001], climb);
say_case('lapses of a tenth', 0.4, [40 0.1 0.1], [100 4 1; 200 5 1; 300 3 4; 400 1 5]);
say_case('a lucky pass above', 0.4, [40 0.01 0.08], [120 2 0; 200 2 0; 240 0 2; 260 1 1; 300 0 1]);
say_case('all clean', 0.5, [40 0.02 0.05], [200 2 0; 240 2 0; 280 2 0]);
say_case('none clean', 0.5, [40 0.02 0.05], [200 0 4]);
curves = zeros(0, 3);
for s = [10 20 40 80 160 320] for l = [0.01 0.08] for f = [0.01 0.08]
  curves = [curves; s f l];
end end end
say_case('24 curves', 0.42, curves, climb);
say_case('24 curves, a fall', 0.42, curves, [100 2 0; 150 2 0; 200 2 0; 250 0 2; 200 2 0; 250 0 2]);
printf('};\n');
