import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inMinutes, inPercent } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import { bestStage, type StageProgram } from './ramp-program.ts';
import type { RampPlan } from './ramp-shots.ts';
import { fewestStages } from './ramp-stages.ts';

export interface BestProgram {
  readonly program: StageProgram;
  readonly oneStage: StageProgram;
}

/** What a program is made for. */
export type ProgramPlan = Pick<RampPlan, 'limits' | 'pressesPerShot'> & {
  readonly shots: readonly Pick<RampPlan['shots'][number], 'shot' | 'exact' | 'error'>[];
};

/** The program for a plan, its stages counted as the shots of the plan are; null where no step is inside the limits. */
export function bestProgram(plan: ProgramPlan, tolerance: number | null): BestProgram | null {
  const known = MADE.get(plan);
  if (known?.tolerance === tolerance) return known.best;
  const best = madeProgram(plan, tolerance);
  MADE.set(plan, { tolerance, best });
  return best;
}

/** Where a plan is asked for again, so is its program. */
const MADE = new WeakMap<ProgramPlan, { readonly tolerance: number | null; readonly best: BestProgram | null }>();

function madeProgram(plan: ProgramPlan, tolerance: number | null): BestProgram | null {
  const { limits, pressesPerShot, shots } = plan;
  const problem = { shots, pressesPerShot, ...limits };
  const oneStage = bestStage(problem);
  if (oneStage === null) return null;
  const before = shots[0]!.shot - 1;
  const shifted = ({ stages, worst }: StageProgram): StageProgram => ({
    stages: stages.map(stage => ({ ...stage, fromShot: stage.fromShot + before })),
    worst,
  });
  const kept = tolerance === null || atMost(oneStage.worst, tolerance);
  const program = kept ? oneStage : (fewestStages(problem, tolerance) ?? oneStage);
  return { program: shifted(program), oneStage: shifted(oneStage) };
}

/** What a program leaves to be said: the tolerance it does not keep, or stages that the station does not store. */
export function programFindings({ program, plan, tolerance, stagesStation }: ProgramMade): Finding[] {
  if (tolerance === null) return [];
  if (!atMost(program.worst, tolerance)) {
    const message = `the best program misses the aim by up to ${inPercent(program.worst)}, the tolerance is ${inPercent(tolerance)}`;
    return [deliveryFinding('ramp-tolerance', 'process.tolerance', message)];
  }
  if (program.stages.length <= stagesStation) return [];
  const starts = program.stages.slice(1).map(stage => {
    const shot = plan.shots[stage.fromShot - 1]!;
    return `shot ${stage.fromShot} (${inMinutes(shot.age)})`;
  });
  const message = `the tolerance needs ${program.stages.length} stages, the station stores ${stagesStation}: switch at ${starts.join(', ')}`;
  return [deliveryFinding('ramp-stages', 'station.ramp.stages', message)];
}

/** A program with what it is judged by. */
export interface ProgramMade extends Pick<BestProgram, 'program'> {
  readonly plan: RampPlan;
  readonly tolerance: number | null;
  readonly stagesStation: number;
}
