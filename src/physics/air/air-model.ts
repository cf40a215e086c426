/** How air reaches the resin. Times [s]; conductance [m³/(s·Pa)]; ratios and exponent [-]; `ventTo` gauge [Pa]. */
export type AirModel =
  | { readonly model: 'ideal' }
  | { readonly model: 'first-order'; readonly rise: number; readonly fall: number; readonly delay: number }
  | {
      readonly model: 'iso6358';
      readonly conductance: number;
      readonly criticalRatio: number;
      readonly exhaustConductance: number;
      readonly exhaustCriticalRatio: number;
      /** Zero, or below it the hold-back vacuum; the pressure between shots, so each shot starts from it. */
      readonly ventTo: number;
      /** 1 isothermal to 1.4 adiabatic. */
      readonly exponent: number;
    };

/** Everything about a shot but its dwell. */
export interface AirPulseInput {
  air: AirModel;
  /** Gauge pressure set at the regulator [Pa]. */
  setPressure: number;
  /** Volume flow [m³/s] at a net pressure (pressure less friction) [Pa]; zero at and below zero, never falling. */
  flow: (netPressure: number) => number;
  /**
   * For a resin whose flow is proportional to the net pressure: flow over net pressure [m³/(s·Pa)]. When given, `flow`
   * is not called and closed forms are used where there are any.
   */
  flowConductance?: number;
  /** Net pressures at which `flow` has a kink, rising [Pa]. Given, the integrals are faster. */
  kinks?: readonly number[];
  /** Pressure that the plunger takes [Pa]. */
  friction: number;
  /** Net pressure below which the resin does not flow [Pa], default 0. Given, the integrals are faster. */
  yieldPressure?: number;
  /** Air volume, ullage and hose [m³]; only `iso6358` needs it. */
  volume?: number;
  /** Absolute pressure of the surroundings [Pa]. */
  atmosphere: number;
  /** Air temperature [K]. */
  temperature: number;
}

export interface AirShot {
  /** All that leaves, from valve open until the flow stops [m³]. */
  readonly volume: number;
  /** The part of it that leaves after the end of the dwell [m³]. */
  readonly ooze: number;
  /** Highest gauge pressure reached [Pa]. */
  readonly peakPressure: number;
  /** Time from valve open until the flow stops [s]; null where a first-order tail never quite ends. */
  readonly flowEnd: number | null;
}

/** A pressure setting with its air and resin, ready for any dwell. */
export interface AirPulse {
  shot(dwell: number): AirShot;
  /** The dwell [s] that delivers a volume [m³]; null where no dwell does because nothing flows. */
  dwellForVolume(volume: number): number | null;
  /** Steady flow at the set pressure less friction [m³/s]. */
  readonly steadyFlow: number;
  /** Time from valve open to 95 % of the set pressure (gauge) [s]. */
  readonly timeTo95: number;
  /** Gauge pressure [Pa] at a time from valve open, for a given dwell. */
  pressureAt(p: { dwell: number; time: number }): number;
}
