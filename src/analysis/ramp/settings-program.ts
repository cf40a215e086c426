import { gridValue } from '../../numeric/setting-grid.ts';
import type { Settings } from '../../recipe/schema/recipe.ts';
import { additionsBefore, type ProgramStage } from './ramp-program.ts';

/**
 * The step program that a recipe has in force: `settings.ramp`, or the dwell kept as it is without one. A first stage
 * starts at `settings.dwell` unless it says else; a later one goes on from where the one before it stands. Null without
 * a dwell to start from.
 */
export function settingsProgram(settings: Settings | undefined, pressesPerShot: number): ProgramStage[] | null {
  const stages = [...(settings?.ramp ?? [])].sort((a, b) => a.from_shot - b.from_shot);
  const dwell = settings?.dwell?.value;
  if (stages.length === 0) return dwell === undefined ? null : [{ fromShot: 1, first: dwell, add: 0, every: 1 }];
  const program: ProgramStage[] = [];
  for (const stage of stages) {
    const before = program.at(-1);
    const reached = before && before.first + before.add * additionsBefore(before, stage.from_shot, pressesPerShot);
    const first = stage.first?.value ?? (reached === undefined ? dwell : gridValue(reached, 1));
    if (first === undefined) return null;
    program.push({
      fromShot: program.length === 0 ? 1 : stage.from_shot,
      first,
      add: stage.add.value,
      every: stage.every,
    });
  }
  return program;
}
