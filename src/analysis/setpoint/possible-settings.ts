import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { displayPressure } from '../../recipe/schema/station-schema.ts';
import { type DispenseAim, dispenseAim } from '../cavity/dispense-aim.ts';
import { type Conditions, type OperatingPoint, operatingPoint } from '../delivery/operating-point.ts';
import { type SpreadModel, spreadModel } from '../inputs/spread-terms.ts';
import type { Criteria } from './setpoint-choice.ts';
import { bestPairs, type Pair } from './setpoint-search.ts';
import { reaching, type StationGrid, stationGrid } from './station-grid.ts';

/** What a station can do for a connector, and what its settings are judged by. */
export interface PossibleSettings {
  readonly aim: DispenseAim;
  readonly point: OperatingPoint;
  readonly grid: StationGrid;
  /** For each pressure the best dwell; and those of them that reach the aim. */
  readonly pairs: readonly Pair[];
  readonly possible: readonly Pair[];
  readonly spread: SpreadModel;
  /** Without the one of a program. */
  readonly criteria: Criteria;
}

/** Settings of the station of a recipe, one of them fixed where asked for [Pa], [s]. */
export function possibleSettings(
  recipe: Recipe,
  options: Conditions & { readonly pressure?: number; readonly dwell?: number },
): Outcome<PossibleSettings> {
  const aim = dispenseAim(recipe, 'a setpoint');
  const at = operatingPoint(recipe, options, 'a setpoint');
  const grid = stationGrid(recipe, options);
  const spread = at.result === null ? null : spreadModel(recipe, options).result;
  const findings = [...aim.findings, ...at.findings, ...grid.findings];
  if (aim.result === null || at.result === null || grid.result === null || spread === null) {
    return { result: null, findings };
  }
  const pairs = bestPairs(at.result, aim.result.aim, grid.result.pressures, grid.result.dwells);
  const possible = reaching(pairs, grid.result);
  const parts = { aim: aim.result, point: at.result, grid: grid.result, pairs, possible, spread };
  return { result: { ...parts, criteria: criteriaOf(recipe, spread) }, findings };
}

/** Pairs within this share of `process.tolerance` are as good as exact. */
const FINE_SHARE = 0.1;
function criteriaOf(recipe: Recipe, spread: SpreadModel): Criteria {
  const { process, station } = recipe;
  const tolerance = process?.tolerance?.value ?? null;
  const [low, high] = process?.practical_dwell.map(dwell => dwell.value) ?? PRACTICAL_DWELL;
  const held = Math.min(
    station?.pressure?.max.value ?? Number.POSITIVE_INFINITY,
    station?.rating?.value ?? Number.POSITIVE_INFINITY,
  );
  return {
    fine: tolerance === null ? null : tolerance * FINE_SHARE,
    program: null,
    practical: [low!, high!],
    band: Number.isFinite(held) ? [held * HELD_WELL[0], held * HELD_WELL[1]] : null,
    spread: spread.fromShotToShot,
    unit: displayPressure(station),
  };
}

/** Shares of the greatest pressure between which a regulator holds what is set. */
const HELD_WELL = [0.1, 0.9] as const;

/** Default of `process.practical_dwell` for a recipe without a process [s]. */
const PRACTICAL_DWELL = [0.2, 4] as const;
