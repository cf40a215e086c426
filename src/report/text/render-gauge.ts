import type { GaugeResult } from '../../analysis/dot/gauge.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { inchText, lengthUnit } from '../words/display-units.ts';
import { madeBy } from '../words/made-by.ts';
import { numberText, plain, quantityText } from '../words/number-text.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** The rings, how well a dot can be read, and where the sheet is. */
export function renderGauge(gauge: GaugeResult, view: View, recipe: Recipe): string {
  const inches = lengthUnit(recipe) === 'in';
  const rings = tableText(
    [
      { head: 'ring' },
      { head: 'across mm', align: 'right' },
      ...(inches ? [{ head: 'in', align: 'right' } as const] : []),
      { head: 'volume µL', align: 'right' },
      { head: 'mass mg', align: 'right' },
    ],
    gauge.rings.map(ring => [
      ring.name,
      numberText(ring.diameter_mm, 4),
      ...(inches ? [inchText(ring.diameter_mm)] : []),
      numberText(ring.volume_uL),
      numberText(ring.mass_mg),
    ]),
    view,
  );
  const angle = `${numberText(gauge.contact_angle_deg)} deg${
    gauge.contact_angle_uncertainty_deg === null
      ? ''
      : `, standard uncertainty ${numberText(gauge.contact_angle_uncertainty_deg, 2)} deg`
  }${gauge.calibration_dots === 0 ? '' : `, from ${counted(gauge.calibration_dots, 'weighed dot')}`}`;
  const ok = gauge.ok_mm;
  const reading = pairsText(
    [
      ['shots on one circle', String(gauge.shots_per_circle)],
      [
        'ok',
        `${ok.map(mm => mm.toFixed(2)).join(' to ')} mm, ± ${plain(gauge.tolerance_pct)} % of the aim; else between min and max: ok, trim`,
      ],
      [
        `${numberText(gauge.reading_error_mm, 2)} mm misread is`,
        `${numberText(gauge.reading_error_pct, 2)} % of the volume; ${numberText(gauge.shot.reading_error_pct, 2)} % with a single shot`,
      ],
      ['one shot', `${quantityText(gauge.shot.diameter_mm, 'mm')} across, ${quantityText(gauge.shot.volume_uL, 'µL')}`],
      ['contact angle', angle],
      ['surface', gauge.surface],
      ['read after', readAfter(gauge)],
      ['within 1 % of rest', settled(gauge)],
      [
        'sheet',
        gauge.file === null
          ? 'not written; name it with -o'
          : `${gauge.file}, ${gauge.paper}, ${gauge.circles} circles`,
      ],
    ],
    view,
  );
  return [rings, reading, madeBy([gauge.model], gauge.defaults, view)].join('\n\n');
}

function readAfter({ read_after_s: after, spreading }: GaugeResult): string | null {
  if (after === null) return null;
  const still =
    spreading === null || spreading.diameter_share >= 0.9995
      ? ''
      : `, then ${numberText(spreading.diameter_share * 100)} % of its last diameter, shot ${numberText(spreading.age_min)} min after mixing`;
  return `${numberText(after)} s${still}`;
}

function settled({ spreading }: GaugeResult): string | null {
  if (spreading === null) return null;
  const { within_1_pct_fresh_s: fresh, within_1_pct_stop_s: stop } = spreading;
  return `after ${numberText(fresh)} s, shot fresh${stop === null ? '' : `; after ${numberText(stop)} s at the stop`}`;
}
