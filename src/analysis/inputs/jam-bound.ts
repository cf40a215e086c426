import type { Connector, Quantity, Section } from '../../recipe/schema/recipe.ts';
import { chanceBelowZero } from '../../stats/chance-below.ts';
import { connectorInputs } from './connector-inputs.ts';
import { inputKey } from './input-key.ts';

/** A length of one connector to first order: its value and how far it follows each input. */
interface Form {
  readonly value: number; // [m]
  readonly slopes: Float64Array;
}

interface Piece {
  readonly front: Form;
  readonly rear: Form;
  readonly length: Form;
  readonly section: Section;
}

/**
 * The cable is thicker than the cavity somewhere in at most this share of connectors [-]; 1, which says nothing, for stacks
 * that do not widen to the rear. To first order in the dimensions, and as it is where both stacks have steps alone.
 *
 * Piece and hole jam only where three margins are below zero: the front of the piece less the place at which the hole has the
 * piece's diameter; the place at which the piece has the hole's diameter less the rear of the hole; the least diameter of the
 * hole less the greatest of the piece. The least of the three chances bounds that of the pair, and their sum over all pairs
 * that of the connector. Where one pair rules, that is the share itself. Where a row or a rectangle goes into a chamber, or a
 * ribbon into a round cavity, the sum of its margins to either side stands for the third, and neither tapers.
 */
export function jamBound(connector: Connector): number {
  const { cavity = [], cable = [], protrusion } = connector;
  if (!widens(cavity) || !widens(cable)) return 1;
  const inputs = connectorInputs(connector);
  const places = new Map(inputs.map((input, i) => [input.key, i]));
  const formOf = (quantity: Quantity): Form => {
    const slopes = new Float64Array(inputs.length);
    const i = places.get(inputKey(quantity));
    if (i !== undefined) slopes[i] = 1;
    return { value: quantity.value, slopes };
  };
  const pieceOf = (section: Section): Piece => ({
    front: formOf(section.front),
    rear: formOf(section.rear),
    length: formOf(section.length),
    section,
  });
  const chanceOf = ({ value, slopes }: Form) => {
    const moved = inputs.map(({ shape, uncertainty }, i) => ({
      shape,
      uncertainty: Math.abs(slopes[i]!) * uncertainty,
    }));
    return chanceBelowZero(
      value,
      moved.filter(({ uncertainty }) => uncertainty > 0),
    );
  };

  const pieces = cable.map(pieceOf);
  const tip = formOf(protrusion);
  let bound = 0;
  let holeFront = combined([tip, 0]);
  for (const hole of cavity.map(pieceOf)) {
    const holeRear = combined([holeFront, 1], [hole.length, 1]);
    let front = combined([tip, -1]);
    for (const piece of pieces) {
      const start = front;
      front = combined([start, 1], [piece.length, 1]);
      const sides = sideMargins(hole, piece, formOf);
      if (sides !== null) {
        const tight = sides.reduce((sum, margin) => sum + chanceOf(margin), 0);
        if (tight === 0) continue;
        const meet = [combined([start, 1], [holeRear, -1]), combined([holeFront, 1], [front, -1])].map(chanceOf);
        bound += Math.min(tight, ...meet);
        continue;
      }
      const wide = chanceOf(combined([hole.front, 1], [piece.rear, -1]));
      if (wide === 0) continue;
      const ahead = chanceOf(combined([start, 1], [crossing(holeFront, hole, piece.rear) ?? holeRear, -1]));
      if (ahead === 0) continue;
      const behind = chanceOf(combined([crossing(start, piece, hole.front) ?? start, 1], [holeRear, -1]));
      // each fibre of a row in its own bore deviates by itself
      const times = hole.section.count === undefined ? 1 : (piece.section.count ?? 1);
      bound += times * Math.min(wide, ahead, behind);
    }
    holeFront = holeRear;
  }
  return Math.min(1, bound);
}

/** Room that a piece has in a hole across and along a row, below zero where it has none; null where their diameters tell. */
function sideMargins(hole: Piece, piece: Piece, formOf: (quantity: Quantity) => Form): Form[] | null {
  const [outer, inner] = [hole.section, piece.section];
  const { count = 1, pitch } = inner;
  const row: [Form, number][] =
    outer.count === undefined && count > 1 && pitch !== undefined ? [[formOf(pitch), count - 1]] : [];
  if (outer.sides === undefined && inner.sides === undefined && row.length === 0) return null;
  const width = combined([inner.sides === undefined ? piece.rear : formOf(inner.sides.width), 1], ...row);
  const height = inner.sides === undefined ? piece.rear : formOf(inner.sides.height);
  if (outer.sides !== undefined) {
    return [
      combined([formOf(outer.sides.width), 1], [width, -1]),
      combined([formOf(outer.sides.height), 1], [height, -1]),
    ];
  }
  if (inner.sides === undefined) return [combined([hole.front, 1], [width, -1])];
  const corner = Math.hypot(width.value, height.value);
  return [combined([hole.front, 1], [width, -width.value / corner], [height, -height.value / corner])];
}

function combined(...terms: readonly (readonly [Form, number])[]): Form {
  const slopes = new Float64Array(terms[0]![0].slopes.length);
  let value = 0;
  for (const [form, factor] of terms) {
    value += factor * form.value;
    for (let i = 0; i < slopes.length; i++) slopes[i]! += factor * form.slopes[i]!;
  }
  return { value, slopes };
}

/** The place at which a piece that starts at `start` has a diameter, beyond its ends too; null for one of a single diameter. */
function crossing(start: Form, { front, rear, length }: Piece, diameter: Form): Form | null {
  const widening = rear.value - front.value;
  if (widening === 0) return null;
  const part = (diameter.value - front.value) / widening;
  const perDiameter = length.value / widening;
  const { slopes } = combined(
    [start, 1],
    [length, part],
    [diameter, perDiameter],
    [front, (part - 1) * perDiameter],
    [rear, -part * perDiameter],
  );
  return { value: start.value + part * length.value, slopes };
}

function widens(stack: readonly Section[]): boolean {
  return stack.every(({ front, rear }, i) => {
    const before = stack[i - 1]?.rear.value ?? 0;
    return front.value >= before && (rear.value > front.value || inputKey(rear) === inputKey(front));
  });
}
