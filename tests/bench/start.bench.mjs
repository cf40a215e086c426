import { medianTimes, node, program, timeRow } from './measure.mjs';

export const title = 'Start-up';

export async function rows() {
  const recipe = 'recipes/tide-gauge-pigtail.yaml';
  const [bare, help, check] = await medianTimes(
    [node(['-e', '0']), node([program, '--help']), node([program, 'check', recipe])],
    31,
  );
  return [
    timeRow('dwellbook --help', help, bare, 'node -e 0', { atMost: 1.25 }),
    timeRow('dwellbook check, one recipe', check, bare, 'node -e 0', { atMost: 1.8 }),
  ];
}
