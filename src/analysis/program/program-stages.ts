import { gridValue } from '../../numeric/setting-grid.ts';
import type { Settings } from '../../recipe/schema/recipe.ts';

/** One stage of a step program: `first` for the first `every` presses, then `add` more for each further `every`. */
export interface ProgramStage {
  /** Connector with which the stage starts, from 1. */
  readonly fromShot: number;
  /** First setting of the stage [s, or Pa for a program of pressure]. */
  readonly first: number;
  /** [the same unit] */
  readonly add: number;
  /** Presses between two additions. */
  readonly every: number;
}

/** Additions made before the press of a connector, both counted from the start of the stage; shots from 1. */
function additionsBefore(stage: { fromShot: number; every: number }, shot: number, pressesPerShot: number): number {
  const press = (shot - stage.fromShot) * pressesPerShot + pressesPerShot - 1;
  return Math.floor(press / stage.every);
}

/** The setting a program gives for a connector (from 1) [s or Pa]; stages in the order of `fromShot`. */
export function programSetting(stages: readonly ProgramStage[], shot: number, pressesPerShot: number): number {
  return gridValue(unroundedSetting(stages, shot, pressesPerShot), 1);
}

/** {@link programSetting} before rounding [s or Pa]: equal for two shots on the same step, so that callers can compare it. */
export function unroundedSetting(stages: readonly ProgramStage[], shot: number, pressesPerShot: number): number {
  let current = stages[0]!;
  for (const stage of stages) if (stage.fromShot <= shot) current = stage;
  return current.first + current.add * additionsBefore(current, shot, pressesPerShot);
}

/**
 * The steps of dwell of a released setting: those of its ramp, or the dwell [s] kept as it is without one. A first stage
 * starts at the dwell unless it says else; a later one goes on from where the one before it stands.
 */
export function releasedStages(dwell: number, ramp: Settings['ramp'], pressesPerShot: number): ProgramStage[] {
  const stages = [...(ramp ?? [])].sort((a, b) => a.from_shot - b.from_shot);
  if (stages.length === 0) return [{ fromShot: 1, first: dwell, add: 0, every: 1 }];
  const program: ProgramStage[] = [];
  for (const { from_shot, first, add, every } of stages) {
    const reached = program.length === 0 ? dwell : programSetting(program, from_shot, pressesPerShot);
    const fromShot = program.length === 0 ? 1 : from_shot;
    program.push({ fromShot, first: first?.value ?? reached, add: add.value, every });
  }
  return program;
}
