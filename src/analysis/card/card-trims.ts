import { gridValue } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { judgeCheck } from '../release/judge-syringe.ts';
import { checkPlace, preparedCheck } from '../release/measured-syringe.ts';
import { readVolumes } from '../release/release-readings.ts';
import { type Program, settingAt } from '../setpoint/program-in-force.ts';
import type { CardDot } from './card-dot.ts';

/** What dots of a size ask for, as a release of three of them decides: at the first shot, or at the next check of a syringe. */
export interface CardTrim {
  readonly diameter_mm: number;
  /** `keep`: as it is; `set`: this program; `stop`: the syringe is not used. */
  readonly action: 'keep' | 'set' | 'stop';
  /** Dwell of that shot, and what it grows by; null to stop. */
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

/** A check of a syringe that has a program of its own; SI. */
export interface TrimMoment {
  readonly shot: number;
  readonly age: number;
  readonly dispensed: number;
  readonly temperature: number | undefined;
  readonly program: Program;
}

/** A row every 0.1 mm, from the last that stops below what can be trimmed to the first that stops above; [] without a dot. */
export function cardTrims(recipe: Recipe, dot: CardDot | null, next?: TrimMoment): CardTrim[] {
  const aim = dot?.rings.find(ring => ring.name === 'aim')?.diameter_mm;
  const { pressure, dwell } = recipe.settings ?? {};
  if (dot === null || aim === undefined || pressure === undefined || dwell === undefined) return [];
  const trimAt = trimsOf(recipe, dot.shots_per_circle, next);
  if (trimAt === null) return [];
  const middle = Math.round(aim / 1e3 / STEP);
  const at = (steps: number) => trimAt(gridValue(middle + steps, STEP));
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

/** The decision of `release` for three dots of a diameter [m], with what all of them share worked out once. */
function trimsOf(recipe: Recipe, shots: number, next: TrimMoment | undefined): ((diameter: number) => CardTrim) | null {
  const options = next === undefined ? atFirstShot(recipe) : momentOf(next);
  const found = checkPlace(recipe, options).result;
  if (found === null) return null;
  const place = next === undefined ? found : { ...found, program: next.program };
  const { shot } = place.place;
  const check = preparedCheck(recipe, options, place).result;
  return diameter => {
    const diameter_mm = Number((diameter * 1e3).toFixed(1));
    const read = readVolumes(recipe, {
      dots: new Array<number>(DOTS).fill(diameter),
      shots,
      ...(next && { age: next.age }),
    }).result;
    const judged = read === null ? null : judgeCheck(check(read));
    const program = judged === null || judged.decision === 'reject' ? null : (judged.trim?.program ?? place.program);
    const stage = program?.stages.findLast(({ fromShot }) => fromShot <= shot) ?? program?.stages[0];
    if (program === null || stage === undefined) {
      return { diameter_mm, action: 'stop', dwell_s: null, add_s: null, every: null, stages: 0 };
    }
    const action = judged!.decision === 'use' ? 'keep' : 'set';
    const { add, every } = stage;
    const { dwell } = settingAt(program, shot);
    return { diameter_mm, action, dwell_s: dwell, add_s: add, every, stages: program.stages.length };
  };
}

function atFirstShot({ process }: Recipe) {
  const wanted = process?.temperature;
  return { shot: 1, ...(wanted !== undefined && !('profile' in wanted) && { temperature: wanted.value }) };
}

function momentOf({ shot, age, dispensed, temperature }: TrimMoment) {
  return { shot, age, dispensed, ...(temperature !== undefined && { temperature }) };
}
