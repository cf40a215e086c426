/**
 * What the commands do, as typed functions that return the objects `--json` prints. Quantities go in as SI numbers.
 */
import { nodeFileSystem } from './files/node-file-system.ts';
import { type LoadedRecipe, type LoadOptions, loadRecipe as load } from './recipe/format/load.ts';
import type { FileSystem } from './recipe/parts/file-system.ts';

/**
 * The recipe of a file, in SI, with everything that is wrong with it and its place.
 * Throws: FileError when the file cannot be read.
 */
export function loadRecipe(
  path: string,
  options: LoadOptions & { /** Default: the files of the machine. */ readonly files?: FileSystem } = {},
): Promise<LoadedRecipe> {
  const { files = nodeFileSystem, ...rest } = options;
  return load(path, files, rest);
}

export { type Amount, type BatchOptions, type BatchResult, batch } from './analysis/batch/batch.ts';
export {
  type PooledOptions,
  type PooledOutcome,
  type PooledResult,
  pooledBatch,
} from './analysis/batch/pooled-batch.ts';
export type { Shift } from './analysis/batch/work-clock.ts';
export { type CardOptions, type CardResult, card } from './analysis/card/card.ts';
export { type CavityResult, type CavitySection, cavity, type FillPoint } from './analysis/cavity/cavity.ts';
export { type ComparedSide, type RecipeComparison, recipeComparison } from './analysis/changes/comparison.ts';
export { frozenEntry, frozenFindings, type Held } from './analysis/changes/frozen.ts';
export { MODEL_VERSIONS, type ModelName } from './analysis/changes/model-versions.ts';
export {
  type RecipeResult,
  type RecipeResults,
  type ResultValue,
  recipeResults,
} from './analysis/changes/recipe-results.ts';
export { type GridAxis, type GridValue, gridAxis, gridPoint, gridSize } from './analysis/changes/sweep-grid.ts';
export { type Taken, takeResults } from './analysis/changes/take-results.ts';
export { type GaugeOptions, type GaugeResult, type GaugeRing, gauge } from './analysis/dot/gauge.ts';
export {
  type FamilyGauge,
  type FamilyMember,
  type FamilyMemberKeys,
  type FamilyOptions,
  type FamilyOutcome,
  type FamilyResult,
  family,
} from './analysis/family/family.ts';
export { type FitOptions, type FitResult, type FitRow, fit } from './analysis/fit/fit.ts';
export { type CureCurvePoint, type CureFitResult, fitCure } from './analysis/fit/fit-cure.ts';
export { type FlowCurvePoint, type FlowCurveResult, fitFlowCurve } from './analysis/fit/fit-flow-curve.ts';
export {
  type FollowAction,
  type FollowCheckKeys,
  type FollowOutcome,
  type FollowResult,
  follow,
} from './analysis/follow/follow.ts';
export type { LoggedCheck } from './analysis/follow/logged-release.ts';
export { type InsertOptions, type InsertResult, insert } from './analysis/insert/insert.ts';
export { type MixOptions, type MixResult, mix } from './analysis/mix/mix.ts';
export type { NeedleChoice } from './analysis/needles/needle-choice.ts';
export { type NeedleListEntry, type NeedleListResult, needleList } from './analysis/needles/needle-list.ts';
export { type OvenKeys, type OvenOptions, type OvenResult, oven } from './analysis/oven/oven.ts';
export { type RampOptions, type RampResult, ramp } from './analysis/ramp/ramp.ts';
export {
  REHEARSE_DEFAULTS,
  type RehearseOptions,
  type RehearseResult,
  rehearse,
} from './analysis/rehearse/rehearse.ts';
export { SPREAD_DEFAULTS, type SpreadOptions, type SpreadResult, spread } from './analysis/rehearse/spread.ts';
export { type ReleaseOptions, type ReleaseResult, release } from './analysis/release/release.ts';
export {
  type ScannedRing,
  type ScanOptions,
  type ScanPicture,
  type ScanResult,
  scan,
} from './analysis/scan/scan.ts';
export {
  type ScanDotsOptions,
  type ScanDotsResult,
  type ScannedDot,
  type Slide,
  type WholeScan,
  wholeScan,
} from './analysis/scan/scan-dots.ts';
export type { OwnRecipe } from './analysis/scan/sheet-recipe.ts';
export { type SetpointOptions, type SetpointResult, setpoint } from './analysis/setpoint/setpoint.ts';
export { type ShotOptions, shot } from './analysis/shot/shot.ts';
export type { ShotResult } from './analysis/shot/shot-result.ts';
export { type MonteCarlo, type MonteCarloOptions, monteCarloSpread } from './analysis/spread/monte-carlo-spread.ts';
export { type PredictedSpread, predictSpread } from './analysis/spread/predict-spread.ts';
export { type SpreadProblem, spreadProblem } from './analysis/spread/spread-problem.ts';
export { type GaugeRrInput, type GaugeRrOptions, type GaugeRrResult, gaugeRr } from './analysis/trend/gauge-rr.ts';
export {
  type FirstPiece,
  type QualifyInput,
  type QualifyOptions,
  type QualifyResult,
  qualify,
} from './analysis/trend/qualify.ts';
export { type LoggedSyringe, type RecallInput, type RecallResult, recall } from './analysis/trend/recall.ts';
export { type TrendInput, type TrendOptions, type TrendResult, trend } from './analysis/trend/trend.ts';
export { type TrialsOptions, type TrialsResult, trials } from './analysis/trials/trials.ts';
export type { CodeText } from './diagnostics/codes/coded.ts';
export { FileError } from './diagnostics/file-error.ts';
export type { Diagnostic, Finding, Outcome, Place, Severity } from './diagnostics/finding.ts';
export { readFonts } from './files/fonts.ts';
export { type GitFileSystem, gitFileSystem } from './files/git-file-system.ts';
export { nodeFileSystem } from './files/node-file-system.ts';
export { writeAtomic } from './files/write-atomic.ts';
export { ConvergenceError } from './numeric/convergence-error.ts';
export { DomainError } from './numeric/domain-error.ts';
export { type Drop, type DropLiquid, dropFromDiameter, dropFromVolume } from './physics/drop/drop.ts';
export { recipeJsonSchema } from './recipe/format/json-schema.ts';
export { type LoadedRecipe, type LoadOptions, parseRecipe, placeFindings } from './recipe/format/load.ts';
export { type LockEntry, type LockFile, lockText, readLock } from './recipe/format/lock-file.ts';
export { type InputChange, inputChanges, recipeInputs } from './recipe/format/recipe-inputs.ts';
export { recipeKeys } from './recipe/format/recipe-keys.ts';
export { type StarterOptions, starterRecipe } from './recipe/format/starter-recipe.ts';
export type { FileSystem } from './recipe/parts/file-system.ts';
export type * from './recipe/schema/recipe.ts';
export { type Change, type Written, writeValues } from './recipe/yaml/write-values.ts';
export { type BatchSheetInput, batchPdf } from './report/pdf/batch-sheet.ts';
export { type CardSheetInput, cardPdf } from './report/pdf/card-sheet.ts';
export { type GaugeSheetInput, gaugePdf } from './report/pdf/gauge-sheet.ts';
export { type FamilyCardInput, familyPdf } from './report/several/family-card.ts';
export { type DisplayUnits, displayUnits } from './report/words/display-units.ts';
export { CATALOGUE } from './rules/catalogue.ts';
export { checkRecipe, runRules } from './rules/index.ts';
export { VERSION } from './version.ts';
