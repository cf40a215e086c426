import { atMost } from '../../numeric/limits.ts';
import { bestStage, type StageProgram } from './ramp-program.ts';
import type { RampPlan } from './ramp-shots.ts';
import { fewestStages } from './ramp-stages.ts';

export interface BestProgram {
  readonly program: StageProgram;
  readonly oneStage: StageProgram;
}

/** The program for a plan, its stages counted as the shots of the plan are; null where no step is inside the limits. */
export function bestProgram(plan: RampPlan, tolerance: number | null): BestProgram | null {
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
