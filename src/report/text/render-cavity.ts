import type { CavityResult, CavitySection, FillPoint } from '../../analysis/cavity/cavity.ts';
import { madeBy } from '../words/made-by.ts';
import { numberText, quantityText } from '../words/number-text.ts';
import { pairsText, tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** The stack, the volumes, the two shots, and what backfill reaches how far. */
export function renderCavity(cavity: CavityResult, view: View): string {
  const parts = [sectionTable(cavity, view), shots(cavity, view)];
  if (cavity.fill_curve.length > 0) parts.push(fillTable(cavity, view));
  if (cavity.defaults.length > 0) parts.push(madeBy([], cavity.defaults, view));
  return parts.join('\n\n');
}

function sectionTable(cavity: CavityResult, view: View): string {
  const rows = cavity.sections.map(section => [
    partText(section),
    numberText(section.from_mm),
    numberText(section.to_mm),
    numberText(section.gross_uL),
    numberText(section.cable_uL),
    numberText(section.free_uL),
  ]);
  rows.push(['all', '', '', numberText(cavity.gross_uL), numberText(cavity.cable_uL), numberText(cavity.free_uL)]);
  return tableText(
    [
      { head: 'part' },
      { head: 'from mm', align: 'right' },
      { head: 'to mm', align: 'right' },
      { head: 'gross µL', align: 'right' },
      { head: 'cable µL', align: 'right' },
      { head: 'free µL', align: 'right' },
    ],
    rows,
    view,
  );
}

/** `bore, 12 side by side`, `chamber, 9.2 × 1.2 mm`. */
function partText({ part, count, width_mm: width, height_mm: height }: CavitySection): string {
  const sides = width === null || height === null ? '' : `, ${numberText(width)} × ${numberText(height)} mm`;
  return `${part}${sides}${count === 1 ? '' : `, ${count} side by side`}`;
}

function shots(cavity: CavityResult, view: View): string {
  const seat = cavity.seat_part === null ? '' : ` behind the end face, in ${cavity.seat_part}`;
  return pairsText(
    [
      ['needle seats', cavity.seat_mm === null ? null : `${numberText(cavity.seat_mm)} mm${seat}`],
      ['needle', needleText(cavity)],
      ['room beside it', present(cavity.capacity_with_needle_uL, 'µL')],
      ['bore shot', present(cavity.bore_shot_uL, 'µL')],
      ['backfill, least', window(cavity.backfill_min_uL, cavity.reach_min_mm)],
      ['backfill, aim', window(cavity.backfill_aim_uL, cavity.reach_aim_mm)],
      ['backfill, most', window(cavity.backfill_max_uL, cavity.reach_max_mm)],
      ['allowance in it', cavity.allowance_pct === 0 ? null : `${numberText(cavity.allowance_pct)} %`],
      ['final bead', finalBead(cavity)],
    ],
    view,
  );
}

function needleText({ needle }: CavityResult): string | null {
  if (needle === null) return null;
  const rest =
    needle.clear_mm >= 0 ? `${numberText(needle.clear_mm)} mm clear` : `${numberText(-needle.clear_mm)} mm short`;
  return `${numberText(needle.needed_mm)} mm needed to the seat, ${numberText(needle.exposed_mm)} mm stand free: ${rest}`;
}

function window(volume: number | null, reach: number | null): string | null {
  return volume === null ? null : `${numberText(volume)} µL, reaches ${quantityText(reach, 'mm')}`;
}

function finalBead(cavity: CavityResult): string | null {
  if (cavity.final_bead_uL === null) return null;
  const across =
    cavity.final_bead_diameter_mm === null ? '' : `, ${numberText(cavity.final_bead_diameter_mm)} mm across`;
  const face = cavity.face_mm === null ? '' : ` on a face of ${numberText(cavity.face_mm)} mm`;
  const each = cavity.beads === 1 ? '' : `${cavity.beads} of `;
  return `${each}${numberText(cavity.final_bead_uL)} µL${across}${across === '' ? '' : face}`;
}

function present(value: number | null, unit: string): string | null {
  return value === null ? null : quantityText(value, unit);
}

const FILL_ROWS = 9;

/** A few points of the curve, evenly chosen, with the ends and the three of the window always among them. */
function fillTable(cavity: CavityResult, view: View): string {
  const marks = new Map<number, string>();
  for (const [reach, name] of [
    [cavity.reach_min_mm, 'least'],
    [cavity.reach_aim_mm, 'aim'],
    [cavity.reach_max_mm, 'most'],
  ] as const) {
    if (reach !== null) marks.set(reach, name);
  }
  const rows = chosenPoints(cavity.fill_curve, marks).map(point => [
    numberText(point.reach_mm),
    numberText(point.backfill_uL),
    marks.get(point.reach_mm) ?? '',
  ]);
  return tableText(
    [{ head: 'reach mm', align: 'right' }, { head: 'backfill µL', align: 'right' }, { head: '' }],
    rows,
    view,
  );
}

function chosenPoints(curve: readonly FillPoint[], marks: ReadonlyMap<number, string>): FillPoint[] {
  const step = Math.max(1, Math.ceil((curve.length - 1) / (FILL_ROWS - 1)));
  return curve.filter((point, i) => i % step === 0 || i === curve.length - 1 || marks.has(point.reach_mm));
}
