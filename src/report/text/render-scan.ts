import type { ScannedRing, ScanResult } from '../../analysis/scan/scan.ts';
import type { ScanDotsResult } from '../../analysis/scan/scan-dots.ts';
import { numberText } from '../words/number-text.ts';
import { paragraph } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

const VERDICTS: Readonly<Record<ScanResult['verdict'], string>> = {
  use: 'use: both scales within 0.5 %',
  'print anew': 'print anew',
  'not known': 'not known: the picture does not tell its resolution, or the sheet is tilted in it',
};

const CAUTION =
  'A lens bends what is near the edge of a picture, and what stands above the sheet is seen too large and aside: a flatbed measures a print, a camera does it from far off. Check with a ruler what looks odd.';

/** What page it is, how true it was printed, and its rings. */
export function renderScan(result: ScanResult | ScanDotsResult, view: View): string {
  const { sheet, next } = result;
  const facts = pairsText(
    [
      ['sheet', `page ${sheet.page} of ${sheet.pages}, ${sheet.paper}, drawn by ${sheet.version}`],
      ['inputs', sheet.digest],
      ['found by', `${result.corner_marks} corner marks; ${lengthText(result.misfit_mm)} left`],
      ['in the picture', inPicture(result)],
      ['scale across, down', scales(result)],
      ['across / down', withError(result.aspect, result.aspect_error_pct)],
      ['right angle', result.skew_deg === null ? null : `off by ${Math.abs(result.skew_deg).toFixed(2)} deg`],
      ['verdict', verdictText(result)],
      ['next print', next === null ? null : `--scale-x ${next.scale_x} --scale-y ${next.scale_y}`],
    ],
    view,
  );
  const dots = 'dots' in result ? [dotTable(result, view)] : [];
  return [facts, ringTable(result, view), ...dots, paragraph(CAUTION, view.columns)].join('\n\n');
}

function verdictText(result: ScanResult): string {
  const words = VERDICTS[result.verdict];
  if (result.verdict !== 'print anew') return words;
  return `${words}: ${result.next === null ? 'one axis is off against the other' : 'a scale is off by more than 0.5 %'}`;
}

function inPicture({ turn_deg, tilt_deg, pixels_per_mm, dpi }: ScanResult): string {
  const [low, high] = tilt_deg;
  const tilt = high < 0.05 ? '' : `, tilted by ${low.toFixed(0)} to ${high.toFixed(0)} deg`;
  const stated = dpi === null ? '' : `, ${numberText(dpi, 4)} dpi`;
  return `turned by ${(Math.round(10 * turn_deg) % 3600) / 10} deg${tilt}, ${numberText(pixels_per_mm, 3)} pixels to the mm${stated}`;
}

function scales({ scale_x, scale_y, scale_error_pct }: ScanResult): string | null {
  if (scale_x === null || scale_y === null || scale_error_pct === null) return null;
  return `${scale_x.toFixed(4)}, ${scale_y.toFixed(4)} ± ${errorText(scale_error_pct)} %`;
}

function withError(value: number | null, error: number | null): string | null {
  return value === null || error === null ? null : `${value.toFixed(4)} ± ${errorText(error)} %`;
}

/** Never as if there were none. */
function errorText(pct: number): string {
  return Math.max(pct, 0.01).toFixed(2);
}

function lengthText(mm: number): string {
  return `${mm.toFixed(3)} mm`;
}

/** The dots, and how `release` takes them. */
function dotTable({ dots, readings, reading_error_mm }: ScanDotsResult, view: View): string {
  const rows = dots.map(d => [
    String(d.circle),
    d.diameter_mm.toFixed(3),
    `${d.low_mm.toFixed(3)} to ${d.high_mm.toFixed(3)}`,
    `${d.out_of_round_pct.toFixed(1)} %`,
    d.off_centre_mm.toFixed(2),
  ]);
  const heads = ['dot across mm', 'from to', 'out of round', 'off centre mm'];
  const table = tableText([{ head: 'circle' }, ...heads.map(head => ({ head, align: 'right' as const }))], rows, view);
  const pairs = pairsText(
    [['for release', `--dots "${readings}" --reading-error "${reading_error_mm.toFixed(3)} mm"`]],
    view,
  );
  return `${table}\n\n${pairs}`;
}

/** Rings of one name together: how many were read, their mean, and the one that is farthest off. */
function ringTable({ rings, ruler }: ScanResult, view: View): string {
  const names = [...new Set(rings.map(({ name }) => name))];
  const rows = names.map(name => {
    const all = rings.filter(ring => ring.name === name);
    const read = all.flatMap(({ measured_mm }) => measured_mm ?? []);
    const due = all[0]!.due_mm;
    const farthest = farthestOf(all);
    return [
      name,
      due.toFixed(3),
      read.length === 0 ? '-' : (read.reduce((a, b) => a + b, 0) / read.length).toFixed(3),
      farthest === null ? '-' : `${farthest.measured_mm!.toFixed(3)} (${farthest.circle})`,
      `${read.length} of ${all.length}`,
    ];
  });
  const heads = ['due mm', ruler === 'sheet' ? 'against marks' : 'measured', 'farthest off', 'read'];
  return tableText([{ head: 'ring' }, ...heads.map(head => ({ head, align: 'right' as const }))], rows, view);
}

function farthestOf(rings: readonly ScannedRing[]): ScannedRing | null {
  const off = (r: ScannedRing) => Math.abs(r.measured_mm! - r.due_mm);
  const read = rings.filter(({ measured_mm }) => measured_mm !== null);
  return read.reduce<ScannedRing | null>((far, r) => (far === null || off(r) > off(far) ? r : far), null);
}
