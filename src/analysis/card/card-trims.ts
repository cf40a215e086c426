import { gridValue } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { release } from '../release/release.ts';
import type { CardDot } from './card-dot.ts';

/** What dots of a size ask for, as a release of three of them at the first shot decides. */
export interface CardTrim {
  readonly diameter_mm: number;
  /** `keep`: as it is; `set`: this program; `stop`: the syringe is not used. */
  readonly action: 'keep' | 'set' | 'stop';
  /** First dwell, and what it grows by; null to stop. */
  readonly dwell_s: number | null;
  readonly add_s: number | null;
  readonly every: number | null;
  /** Stages of the program; the dwell is that of the first. */
  readonly stages: number;
}

const STEP = 1e-4; // [m]
const DOTS = 3;
/** Rows to either side of the aim; what is beyond is to be stopped in any case. */
const MOST_ROWS = 14;

/** A row every 0.1 mm, from the last that stops below what can be trimmed to the first that stops above; [] without a dot. */
export function cardTrims(recipe: Recipe, dot: CardDot | null): CardTrim[] {
  const aim = dot?.rings.find(ring => ring.name === 'aim')?.diameter_mm;
  if (
    dot === null ||
    aim === undefined ||
    recipe.settings?.pressure === undefined ||
    recipe.settings.dwell === undefined
  )
    return [];
  const middle = Math.round(aim / 1e3 / STEP);
  const at = (steps: number) => trimAt(recipe, gridValue(middle + steps, STEP), dot.shots_per_circle);
  const side = (way: 1 | -1) => {
    const rows: CardTrim[] = [];
    for (let i = 1; i <= MOST_ROWS && middle + way * i > 0; i++) {
      const row = at(way * i);
      rows.push(row);
      if (row.action === 'stop') break;
    }
    return rows;
  };
  return [...side(-1).reverse(), at(0), ...side(1)];
}

function trimAt(recipe: Recipe, diameter: number, shots: number): CardTrim {
  const wanted = recipe.process?.temperature;
  const temperature = wanted === undefined || 'profile' in wanted ? {} : { temperature: wanted.value };
  const { result } = release(recipe, { dots: new Array<number>(DOTS).fill(diameter), shots, shot: 1, ...temperature });
  const diameter_mm = Number((diameter * 1e3).toFixed(1));
  const stage = result?.program?.stages[0];
  if (result === null || result.decision === 'reject' || stage === undefined) {
    return { diameter_mm, action: 'stop', dwell_s: null, add_s: null, every: null, stages: 0 };
  }
  const action = result.decision === 'use' ? 'keep' : 'set';
  const { first_dwell_s: dwell_s, add_s, every } = stage;
  return { diameter_mm, action, dwell_s, add_s, every, stages: result.program!.stages.length };
}
