/**
 * The checked recipe, in SI. Its keys are the keys of the file, so that a path such as `resin.rheology.viscosity` means
 * the same in the YAML, in `--set`, in a finding and in this object. What the file leaves out and has a default is
 * filled in; what has none is absent. Every block is optional here: a command asks for the blocks it needs.
 */

export type Distribution = 'normal' | 'uniform' | 'triangular';
/** What a deviation is common to: one shot, or all shots of a syringe, needle, lot or connector. */
export type Per = 'shot' | 'syringe' | 'needle' | 'lot' | 'connector';

export interface Tolerance {
  /** Half-width in the unit of the value [SI]. */
  readonly halfWidth: number;
  readonly distribution: Distribution;
  /** For `normal`: how many standard deviations the half-width is. Not used by the others. */
  readonly coverage: number;
  readonly per: Per;
}

export interface Quantity {
  /** [SI]; temperatures in kelvin, angles in radians, percentages and factors as plain ratios. */
  readonly value: number;
  readonly tolerance?: Tolerance;
  /** Dotted path of this leaf, e.g. `connector.cavity[1].diameter[0]`. */
  readonly path: string;
  /**
   * Where the text came from: a path in the recipe's own file, `file#path in it`, `--set:…` or `default`; in a
   * file with anchors an offset in place of the path. Two leaves with the same source (a YAML alias, or one
   * part used twice) are one dimension and move together.
   */
  readonly source: string;
}

/** A half-width on something else (`accuracy`, `jitter`): its value is the half-width [SI], the rest says how it is meant. */
export interface Deviation extends Quantity {
  readonly distribution: Distribution;
  readonly coverage: number;
  readonly per: Per;
}

/** One cylinder (front = rear) or cone of a cavity, cable or needle; diameters [m], length [m]. */
export interface Section {
  readonly part: string;
  readonly front: Quantity;
  readonly rear: Quantity;
  readonly length: Quantity;
  /** Path of the section itself, e.g. `connector.cavity[0]`. */
  readonly path: string;
}

export interface Connector {
  /** From the end face backwards; the first is the fibre bore. */
  readonly cavity?: readonly Section[];
  readonly face?: Quantity; // [m]
  /** From where the cable leaves the end face (the tip of the protruding fibre), backwards. */
  readonly cable?: readonly Section[];
  readonly protrusion: Quantity; // [m], default 0
  readonly bead?: { readonly diameter: Quantity; readonly contact_angle: Quantity }; // [m], [rad]
  readonly reach?: { readonly min: Quantity; readonly max: Quantity; readonly aim?: Quantity }; // [m]
  readonly allowance: Quantity; // [-], default 0
  readonly bore_contact_angle: Quantity; // [rad], default 90 deg
}

export type WallClass = 'regular' | 'thin' | 'extra-thin';
export type NeedleEnds = 'entrance' | 'both' | 'none';

export interface Needle {
  /** Gauge as in the table: '22', '22s'. */
  readonly gauge?: string;
  readonly wall: WallClass; // default regular
  readonly length?: Quantity; // [m]
  readonly bore?: Quantity; // inside diameter [m]; when absent the gauge table gives it
  readonly outside?: Quantity; // [m]
  /** From the barrel to the tip (front = upstream end, rear = tip end); replaces bore and length. */
  readonly sections?: readonly Section[];
  readonly ends: NeedleEnds; // default entrance
  readonly contact_angle?: Quantity; // [rad], default: the dot's
}

export type RheologyBlock =
  | { readonly model: 'newtonian'; readonly viscosity: Quantity }
  | { readonly model: 'power-law'; readonly K: Quantity; readonly n: Quantity }
  | { readonly model: 'herschel-bulkley'; readonly yield_stress: Quantity; readonly K: Quantity; readonly n: Quantity }
  | { readonly model: 'bingham' | 'casson'; readonly yield_stress: Quantity; readonly viscosity: Quantity }
  | {
      readonly model: 'cross';
      readonly zero: Quantity;
      readonly infinity: Quantity;
      readonly time: Quantity;
      readonly m: Quantity;
    }
  | {
      readonly model: 'carreau-yasuda';
      readonly zero: Quantity;
      readonly infinity: Quantity;
      readonly time: Quantity;
      readonly a: Quantity;
      readonly n: Quantity;
    }
  /** [shear rate 1/s, viscosity Pa·s] */
  | { readonly model: 'table'; readonly points: readonly (readonly [Quantity, Quantity])[] };

export type CureBlock = { readonly reference_temperature?: Quantity } & (
  | { readonly model: 'none' }
  | {
      readonly model: 'pot-life';
      readonly time: Quantity;
      readonly factor: Quantity;
      readonly activation_energy?: Quantity;
    }
  | { readonly model: 'roller'; readonly rate: Quantity; readonly activation_energy: Quantity }
  | {
      readonly model: 'castro-macosko';
      readonly A1: Quantity;
      readonly E1: Quantity;
      readonly A2: Quantity;
      readonly E2: Quantity;
      readonly m: Quantity;
      readonly n: Quantity;
      readonly gel_conversion: Quantity;
      readonly c1: Quantity;
      readonly c2: Quantity;
    }
  /** [age s, factor -] */
  | { readonly model: 'table'; readonly points: readonly (readonly [Quantity, Quantity])[] }
);

export interface DotCalibrationPoint {
  readonly mass: Quantity; // [kg] of all shots together
  readonly shots: number; // default 1
  readonly diameter: Quantity; // [m] as seen from above
}

export interface Resin {
  readonly name?: string;
  readonly density?: Quantity; // [kg/m³]
  readonly surface_tension?: Quantity; // [N/m]
  readonly rheology?: RheologyBlock;
  readonly reference_temperature: Quantity; // [K], default 25 °C
  readonly activation_energy?: Quantity; // [J/mol] of viscosity; absent: viscosity does not move with temperature
  readonly lot_factor: Quantity; // [-], default 1
  readonly cure: CureBlock; // default none
  readonly dot?: {
    readonly contact_angle?: Quantity; // [rad]
    readonly calibration?: readonly DotCalibrationPoint[];
    readonly read_after?: Quantity; // [s]
    readonly surface?: string;
    readonly reading_error: Quantity; // [m], default 0.1 mm
  };
}

export type AirBlock = { readonly exponent: Quantity } & ( // [-], 1 isothermal to 1.4 adiabatic
  | { readonly model: 'ideal' }
  | { readonly model: 'first-order'; readonly rise: Quantity; readonly fall: Quantity; readonly delay: Quantity }
  | {
      readonly model: 'iso6358';
      readonly conductance: Quantity; // [m³/(s·Pa)]
      readonly critical_ratio: Quantity;
      readonly exhaust_conductance: Quantity; // default: the same
      readonly exhaust_critical_ratio: Quantity; // default: the same
      readonly hose?: { readonly inside_diameter: Quantity; readonly length: Quantity };
      readonly vent_to: Quantity; // [Pa] gauge, default 0; below zero: vacuum
    }
);

export interface Station {
  readonly name?: string;
  /** All pressures are gauge [Pa]. `accuracy` is a half-width on the set pressure, per shot. */
  readonly pressure?: {
    readonly min: Quantity;
    readonly max: Quantity;
    readonly step: Quantity;
    readonly accuracy?: Deviation;
  };
  /** [s]; `jitter` is a half-width on the dwell, per shot. */
  readonly dwell?: {
    readonly min: Quantity;
    readonly max: Quantity;
    readonly step: Quantity;
    readonly jitter?: Deviation;
  };
  readonly rating?: Quantity; // [Pa]
  readonly air: AirBlock; // default ideal
  readonly hold_back?: { readonly max: Quantity }; // [Pa] below atmosphere
  readonly syringe?: {
    readonly barrel?: Quantity; // [m³]
    readonly inside_diameter?: Quantity; // [m]
    readonly fill: Quantity; // [m³]
    readonly left_over: Quantity; // [m³], default 0
    readonly plunger_friction: Quantity; // [Pa], default 0
  };
  readonly ramp: { readonly add_step: Quantity; readonly stages: number }; // defaults: dwell.step (0.01 s without one), 1
  readonly atmosphere: Quantity; // [Pa] absolute, default 101.325 kPa
  readonly display: { readonly pressure?: string; readonly vacuum?: string }; // unit names for people
}

export interface Process {
  /** [K] */
  readonly temperature?: Quantity | { readonly profile: readonly (readonly [Quantity, Quantity])[] }; // [age s, K]
  readonly takt?: Quantity; // [s]
  readonly ready_after: Quantity; // [s], default 0
  readonly tolerance?: Quantity; // [-]
  readonly stop_at?: { readonly viscosity_factor?: Quantity; readonly age?: Quantity };
  readonly bore_shot: 'by_sight' | 'by_dwell'; // default by_sight
  readonly prime: number; // default 3
  readonly practical_dwell: readonly [Quantity, Quantity]; // [s], default 0.2 s to 4 s
}

export interface RampStage {
  readonly from_shot: number; // default 1
  readonly first?: Quantity; // [s]; default: settings.dwell for the first stage
  readonly add: Quantity; // [s]
  readonly every: number;
}

export interface Settings {
  readonly pressure?: Quantity; // [Pa] gauge
  readonly dwell?: Quantity; // [s]
  readonly ramp?: readonly RampStage[];
}

export interface Calibration {
  readonly viscosity_factor: Quantity; // [-], default 1
  readonly pressure_offset: Quantity; // [Pa], default 0
  readonly dead_time: Quantity; // [s], default 0
  readonly date?: string;
  readonly data?: string;
  readonly digest?: string;
}

export interface Silence {
  readonly code: string;
  readonly reason?: string;
  readonly path: string;
}

export interface Correlation {
  readonly between: readonly [string, string];
  readonly r: number;
  readonly path: string;
}

export interface Recipe {
  readonly recipe: 1;
  readonly name?: string;
  readonly notes?: string;
  readonly connector?: Connector;
  readonly needle?: Needle;
  readonly resin?: Resin;
  readonly station?: Station;
  readonly process?: Process;
  readonly settings?: Settings;
  readonly calibration?: Calibration;
  readonly silence: readonly Silence[];
  readonly correlations: readonly Correlation[];
}
