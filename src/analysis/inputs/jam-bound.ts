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
}

/**
 * The cable is thicker than the cavity somewhere in at most this share of connectors [-]; 1, which says nothing, for stacks
 * that do not widen to the rear, or are rows or rectangles. To first order in the dimensions, and as it is where both stacks have steps alone.
 *
 * Piece and hole jam only where three margins are below zero: the front of the piece less the place at which the hole has the
 * piece's diameter; the place at which the piece has the hole's diameter less the rear of the hole; the least diameter of the
 * hole less the greatest of the piece. The least of the three chances bounds that of the pair, and their sum over all pairs
 * that of the connector. Where one pair rules, that is the share itself.
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
  const pieceOf = ({ front, rear, length }: Section): Piece => ({
    front: formOf(front),
    rear: formOf(rear),
    length: formOf(length),
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
      const wide = chanceOf(combined([hole.front, 1], [piece.rear, -1]));
      if (wide === 0) continue;
      const ahead = chanceOf(combined([start, 1], [crossing(holeFront, hole, piece.rear) ?? holeRear, -1]));
      if (ahead === 0) continue;
      const behind = chanceOf(combined([crossing(start, piece, hole.front) ?? start, 1], [holeRear, -1]));
      bound += Math.min(wide, ahead, behind);
    }
    holeFront = holeRear;
  }
  return Math.min(1, bound);
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
  return stack.every(({ front, rear, count, sides }, i) => {
    if (count !== undefined || sides !== undefined) return false;
    const before = stack[i - 1]?.rear.value ?? 0;
    return front.value >= before && (rear.value > front.value || inputKey(rear) === inputKey(front));
  });
}
