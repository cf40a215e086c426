import type { CavityResult } from '../../analysis/cavity/cavity.ts';
import type { CavityView } from '../../analysis/cavity/cavity-view.ts';
import type { Mark } from '../page/marks.ts';
import { numberText, plain } from '../words/number-text.ts';
import { beads, body, type Canvas, profile, seatedNeedle } from './section-shapes.ts';

/** What one of the sections one beneath the other shows. */
export interface Panel {
  readonly caption: string;
  /** A length over it, from the end face. */
  readonly length: { readonly to: number; readonly words: string } | null;
  readonly marks: (canvas: Canvas) => Mark[];
  /** Parts named beneath it. */
  readonly parts: readonly { readonly from: number; readonly to: number; readonly words: string }[];
}

/** The needle at its seat with the bore shot, then resin to each reach with the cable in; the cavity alone where nothing else is known. */
export function panelsOf(result: CavityResult, view: CavityView): Panel[] {
  const filled = (['min', 'aim', 'max'] as const).flatMap((name): Panel[] => {
    const reach = result[`reach_${name}_mm`];
    return reach === null || view.cable === null ? [] : [filledPanel(result, view, name, reach)];
  });
  const first = view.needle === null ? emptyPanel(view) : needlePanel(result, view, view.needle);
  const last = filled.at(-1);
  if (last === undefined) return [first];
  return [first, ...filled.slice(0, -1), { ...last, parts: partsOf(view.cable!) }];
}

function emptyPanel(view: CavityView): Panel {
  return {
    caption: 'The cavity',
    length: null,
    marks: canvas => [...body(canvas, view.cavity), ...profile(canvas, view.cavity, 'outline')],
    parts: partsOf(view.cavity),
  };
}

function needlePanel(result: CavityResult, view: CavityView, needle: NonNullable<CavityView['needle']>): Panel {
  const { seat_mm: seat, seat_part: part, needle: room, bore_shot_uL: shot, wanted_bead_uL: wanted } = result;
  const clear = room!.clear_mm;
  const tip = needle.outside[0]!.from;
  const where =
    clear < 0
      ? `The needle is ${numberText(-clear)} mm too short for its seat in ${part}`
      : `The needle at its seat in ${part}, ${numberText(clear)} mm between hub and connector`;
  const wedged = needle.wedged ? '; it is too thick behind its tip to get there' : '';
  const full = shot === null ? '' : `; bore shot ${numberText(shot)} µL`;
  const filled = clear >= 0 && wanted !== null && shot !== null;
  const diameter = filled && view.beadAngle !== null ? capDiameter(wanted, view.beadAngle) : null;
  return {
    caption: `${where}${wedged}${full}`,
    length: { to: tip, words: `${numberText(seat === null ? tip : Math.max(seat, tip))} mm` },
    marks: canvas => [
      ...body(canvas, view.cavity, result.face_mm),
      ...profile(canvas, view.cavity, 'outline'),
      ...(filled ? profile(canvas, view.cavity, 'resin', { from: 0, to: seat! }) : []),
      ...(diameter === null ? [] : beads(canvas, view.cavity[0]!, diameter, view.beadAngle!)),
      ...seatedNeedle(canvas, needle),
    ],
    parts: partsOf(view.cavity),
  };
}

const REACH = { min: 'Least', aim: 'Wanted', max: 'Greatest' } as const;

function filledPanel(result: CavityResult, view: CavityView, name: keyof typeof REACH, reach: number): Panel {
  const backfill = result[`backfill_${name}_uL`];
  const rear = view.cavity.at(-1)!.to;
  const amount =
    backfill !== null
      ? `backfill ${numberText(backfill)} µL`
      : reach > rear
        ? 'beyond the cavity'
        : 'backfill not known';
  const diameter = result.final_bead_diameter_mm;
  return {
    caption: `${REACH[name]} reach, cable in: ${amount}`,
    length: { to: reach, words: `${numberText(reach)} mm` },
    marks: canvas => [
      ...body(canvas, view.cavity, result.face_mm),
      ...profile(canvas, view.cavity, 'outline'),
      ...profile(canvas, view.cavity, 'resin', { from: 0, to: Math.min(reach, rear) }),
      ...(diameter === null || view.beadAngle === null ? [] : beads(canvas, view.cavity[0]!, diameter, view.beadAngle)),
      ...profile(canvas, view.cable!, 'solid'),
    ],
    parts: [],
  };
}

/** Diameter [mm] of a cap of so much [µL] that meets the face at an angle: V = (π d³/48) t (3 + t²), t = tan(θ/2). */
function capDiameter(volume: number, angle: number): number {
  const t = Math.tan(angle / 2);
  return Math.cbrt((48 * volume) / (Math.PI * t * (3 + t * t)));
}

function partsOf(pieces: CavityView['cavity']): Panel['parts'] {
  return pieces.map(({ part, from, to, front, rear, height, offsets }) => {
    const ends = front === rear ? plain(front, 4) : `${plain(front, 4)} to ${plain(rear, 4)}`;
    const across = height === null ? `Ø ${ends}` : `${ends} × ${plain(height, 4)}`;
    const row = offsets.length === 1 ? '' : `${offsets.length} of `;
    return { from, to, words: `${part} ${row}${across} × ${plain(to - from, 4)}` };
  });
}
