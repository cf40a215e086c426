import { jamBound } from '../analysis/inputs/jam-bound.ts';
import { jamShare } from '../analysis/inputs/jam-share.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { inPercent } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';

/** Share of connectors that may jam [-]; ours, no source. */
const MOST_JAMS = 0.02;

export const cableJams = rule(
  'cable-jams',
  byCheck.warning(
    'The cable jams in some of the connectors',
    'With the tolerances of strip lengths, diameters and depths the cable is thicker than the cavity somewhere, or the fibre than its bore, in more connectors than a line can throw away.',
    'Leave more length between the strips and the places where the cavity narrows, tighten the tolerance that rules, or take a wider bore.',
  ),
  ({ recipe, book }, say) => {
    const { connector } = recipe;
    if (connector === undefined || book.result === null) return [];
    if (book.findings.some(({ code }) => code === 'cable-interference')) return [];
    if (jamBound(connector) <= MOST_JAMS) return [];
    const share = jamShare(connector);
    if (share <= MOST_JAMS) return [];
    return [
      say(
        'connector.cable',
        `in ${inPercent(Math.round(share * 1000) / 1000)} of connectors cable and cavity do not go together, more than ${inPercent(MOST_JAMS)}`,
      ),
    ];
  },
);
