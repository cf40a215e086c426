import { boreMarch } from '../analysis/needles/bore-shot.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { inSeconds } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';
import { shotInWords } from './settings-run.ts';

export const taktTooShort = rule(
  'takt-too-short',
  byCheck.warning(
    'Bead, backfill and handling take longer than the takt',
    'The bore is narrow, so that the thickening resin takes longer and longer to come through. A line that falls behind its takt runs behind its program: the resin is older at each shot than the program has it.',
    'Take a longer takt, more pressure, a thinner resin or a shorter run; `process.handling` is what one connector takes without air.',
  ),
  ({ recipe, run, delivery, setting, book }, say) => {
    const { takt, handling } = recipe.process ?? {};
    const last = run?.shots.at(-1);
    if (takt === undefined || last === undefined || setting === null || book.result === null || run === null) return [];
    const dispensed = Math.max(0, run.dispensed - run.perConnector);
    const point = delivery.result?.at({ age: last.age, dispensed }).result ?? null;
    const march = point === null ? null : boreMarch(recipe, book.result, point, setting.pressure);
    const spare = handling?.value ?? 0;
    if (march === null) return [];
    if (march.wantedBeadBy !== null && atMost(march.wantedBeadBy + last.dwell + spare, takt.value)) return [];
    const bead = march.timeToWantedBead;
    if (bead === null) return [];
    const needed = bead + last.dwell + spare;
    if (atMost(needed, takt.value)) return [];
    const parts = [`${inSeconds(bead)} to the bead`, `${inSeconds(last.dwell)} of backfill`];
    if (spare > 0) parts.push(`${inSeconds(spare)} of handling`);
    const message = `at ${shotInWords(last)} a connector takes ${inSeconds(needed)} (${parts.join(', ')}), the takt is ${inSeconds(takt.value)}`;
    return [say('process.takt', message)];
  },
);
