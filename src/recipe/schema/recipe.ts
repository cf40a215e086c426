/**
 * The checked recipe, in SI. Its keys are the keys of the file, so that a path such as `resin.rheology.viscosity` means
 * the same in the YAML, in `--set`, in a finding and in this object. What the file leaves out and has a default is
 * filled in; what has none is absent. Every block is optional here: a command asks for the blocks it needs.
 * The types are those of the fields, which say what each key is, its kind, range and default.
 */
import type { connector } from './connector-schema.ts';
import type { MadeOf } from './field.ts';
import type { needle } from './needle-schema.ts';
import type { calibration, process, recipe, settings } from './recipe-schema.ts';
import type { resin } from './resin-schema.ts';
import type { station } from './station-schema.ts';

export type { Section } from './connector-schema.ts';
export type { Deviation, Distribution, Per, Quantity, Tolerance } from './quantity.ts';

export interface Connector extends MadeOf<typeof connector> {}
export interface Needle extends MadeOf<typeof needle> {}
export interface Resin extends MadeOf<typeof resin> {}
export interface Station extends MadeOf<typeof station> {}
export interface Process extends MadeOf<typeof process> {}
export interface Settings extends MadeOf<typeof settings> {}
export interface Calibration extends MadeOf<typeof calibration> {}
export interface Recipe extends MadeOf<typeof recipe> {}

export type WallClass = Needle['wall'];
export type NeedleEnds = Needle['ends'];
export type RheologyBlock = NonNullable<Resin['rheology']>;
export type CureBlock = Resin['cure'];
export type DotCalibrationPoint = NonNullable<NonNullable<Resin['dot']>['calibration']>[number];
export type AirBlock = Station['air'];
export type RampStage = NonNullable<Settings['ramp']>[number];
export type Silence = Recipe['silence'][number];
export type Correlation = Recipe['correlations'][number];
