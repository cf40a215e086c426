import { DomainError, requireFinite, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';

/** Reference atmosphere of the conductance: 100 kPa, 20 °C, 65 % relative humidity (ISO 8778). */
const REFERENCE_PRESSURE = 100e3; // [Pa]
const REFERENCE_TEMPERATURE = 293.15; // [K]
const REFERENCE_DENSITY = 1.185; // [kg/m³]

export interface ValveFlow {
  /** Sonic conductance C [m³/(s·Pa)]. */ conductance: number;
  /** Critical pressure ratio b [-], 0 to below 1. */ criticalRatio: number;
  /** Absolute pressure before the valve [Pa]. */ upstream: number;
  /** Absolute pressure behind it [Pa], at most the one before. */ downstream: number;
  /** Air temperature before the valve [K]. */ temperature: number;
}

/**
 * Mass flow [kg/s] of air through a valve.
 *
 *   ṁ = C·ρ₀·p₁·√(T₀/T) for p₂/p₁ ≤ b, else that times √(1 − ((p₂/p₁ − b)/(1 − b))²)
 *
 * Valid for: steady flow of air from p₁ to p₂ ≤ p₁; no laminar patch near p₂ = p₁.
 * Throws: DomainError for arguments that are not physical, or p₂ above p₁.
 * Source: ISO 6358 flow law, from public reference pages of simulation libraries (subsonic index 1/2).
 * Evidence: 360 L/min at reference for 1 dm³/(s·bar) at 6 bar; three further computed flows.
 */
export function valveMassFlow(p: ValveFlow): number {
  requireValve(p.conductance, p.criticalRatio);
  requirePositive('upstream', p.upstream, 'Pa');
  requireNonNegative('downstream', p.downstream, 'Pa');
  requirePositive('temperature', p.temperature, 'K');
  const ratio = p.downstream / p.upstream;
  if (ratio > 1) throw new DomainError('downstream', p.downstream, 'Pa', `at most upstream (${p.upstream} Pa)`);
  const b = p.criticalRatio;
  const choked = p.conductance * REFERENCE_DENSITY * p.upstream * Math.sqrt(REFERENCE_TEMPERATURE / p.temperature);
  return ratio <= b ? choked : choked * Math.sqrt(1 - ((ratio - b) / (1 - b)) ** 2);
}

/** Throws unless the pair describes a valve. */
function requireValve(conductance: number, criticalRatio: number): void {
  requirePositive('conductance', conductance, 'm³/(s·Pa)');
  requireFinite('criticalRatio', criticalRatio, '-');
  if (criticalRatio < 0 || criticalRatio >= 1)
    throw new DomainError('criticalRatio', criticalRatio, '-', 'from 0 to below 1');
}

export interface Chamber {
  /** [m³/(s·Pa)] */ conductance: number;
  /** [-] */ criticalRatio: number;
  /** Air volume [m³]. */ volume: number;
  /** Air temperature [K]. */ temperature: number;
  /** Polytropic exponent [-]: 1 isothermal to 1.4 adiabatic. */ exponent: number;
}

/**
 * Relative rate [1/s] at which a choked valve changes the pressure of a chamber.
 *
 *   a = κ·C·p₀·√(T/T₀)/V, since dp/dt = κ·R·T·ṁ/V with R = p₀/(ρ₀·T₀)
 *
 * Filling: dp/dt = a·p_supply; emptying: dp/dt = −a·p.
 */
function chokedRate(c: Chamber): number {
  requireValve(c.conductance, c.criticalRatio);
  requirePositive('volume', c.volume, 'm³');
  requirePositive('temperature', c.temperature, 'K');
  requireFinite('exponent', c.exponent, '-');
  if (c.exponent < 1 || c.exponent > 1.4) throw new DomainError('exponent', c.exponent, '-', 'from 1 to 1.4');
  return (
    (c.exponent * c.conductance * REFERENCE_PRESSURE * Math.sqrt(c.temperature / REFERENCE_TEMPERATURE)) / c.volume
  );
}

/**
 * A course of pressure in closed form. Time runs from its start; pressure is absolute. Below the sonic limit the
 * pressure ratio is written r = b + (1 − b)·cos χ, which turns the square root of the flow law into sin χ: χ runs evenly
 * in time while filling, and the end of the course (χ = 0, both pressures equal) is reached in finite time with a
 * gradient of zero.
 */
export interface PressureCourse {
  /** Time at which the pressure stands still [s]. */ readonly end: number;
  /** Time up to which the valve is choked [s]. */ readonly sonicEnd: number;
  /** Absolute pressure [Pa] at a time. */ pressure(time: number): number;
  /** Angle χ [rad] at a time from `sonicEnd` on. */ angle(time: number): number;
  /** Pressure above the vent, or below the supply [Pa], and rate dt/dχ [s] at χ. */
  gap(angle: number): number;
  pace(angle: number): number;
  /** Time [s] at which the gap to the final pressure is the given one. */ timeAtGap(gap: number): number;
  /** ∫ p dt [Pa·s] between two times up to `sonicEnd`. */ pressureOverTime(from: number, to: number): number;
  /** ∫ gap dt [Pa·s] over a stretch of χ; `from` is the smaller angle, which is the later time. */
  gapOverTime(from: number, to: number): number;
}

/** Gap 1 − r = 2(1 − b)·sin²(χ/2) as an angle. */
function angleOfGap(relativeGap: number, b: number): number {
  return 2 * Math.asin(Math.min(Math.SQRT1_2, Math.sqrt(relativeGap / (2 * (1 - b)))));
}

/**
 * Filling of a chamber from `from` towards `supply` (absolute [Pa]) through a valve.
 *
 *   r = p/p_s: r = r₀ + a·t while r ≤ b, then r = b + (1 − b)·sin(…), that is χ = χ₀ − a·t/(1 − b); a is `chokedRate`
 *
 * Source: integrated from the flow law; the inverse of F(r) = r, b + (1 − b)·asin((r − b)/(1 − b)).
 * Evidence: published charge times of 30 mL, fine integration of the flow law; its integrals against quadrature.
 */
export function filling(chamber: Chamber & { from: number; supply: number }): PressureCourse {
  const { from, supply, criticalRatio: b } = chamber;
  const a = chokedRate(chamber);
  requirePositive('supply', supply, 'Pa');
  if (!(from >= 0 && from <= supply)) throw new DomainError('from', from, 'Pa', `from 0 to supply (${supply} Pa)`);
  const choked = from < b * supply;
  const sonicEnd = choked ? (b - from / supply) / a : 0;
  const start = choked ? Math.PI / 2 : angleOfGap((supply - from) / supply, b);
  const end = sonicEnd + ((1 - b) * start) / a;
  const angle = (time: number) => Math.max(0, start - (a * (time - sonicEnd)) / (1 - b));
  const gap = (chi: number) => 2 * supply * (1 - b) * Math.sin(chi / 2) ** 2;
  return {
    end,
    sonicEnd,
    angle,
    gap,
    pressure: time => (time < sonicEnd ? from + a * supply * Math.max(time, 0) : supply - gap(angle(time))),
    pace: () => (1 - b) / a,
    timeAtGap: wanted => {
      if (wanted >= supply - from) return 0;
      if (wanted > (1 - b) * supply) return (supply - wanted - from) / (a * supply);
      return sonicEnd + ((1 - b) * (start - angleOfGap(wanted / supply, b))) / a;
    },
    pressureOverTime: (t1, t2) => (from + (a * supply * (t1 + t2)) / 2) * (t2 - t1),
    gapOverTime: (x1, x2) => (((1 - b) ** 2 * supply) / a) * (x2 - x1 - Math.sin(x2) + Math.sin(x1)),
  };
}

/**
 * Emptying of a chamber from `from` towards `vent` (absolute [Pa]) through a valve.
 *
 *   p = from·e^(−a·t) while vent/p ≤ b; then dt = (1 − b)/a · dχ/(b + (1 − b)·cos χ), with v = tan(χ/2):
 *   a·t/(1 − b) = 2·artanh(s·v)/s, s = √(1 − 2b) (b < ½), 2v (b = ½), 2·arctan(s·v)/s, s = √(2b − 1) (b > ½)
 *
 * Source: integrated from the flow law.
 * Evidence: fine integration of the flow law for b below, at and above one half.
 */
export function emptying(chamber: Chamber & { from: number; vent: number }): PressureCourse {
  const { from, vent, criticalRatio: b } = chamber;
  const a = chokedRate(chamber);
  requirePositive('vent', vent, 'Pa');
  if (!(Number.isFinite(from) && from >= vent)) throw new DomainError('from', from, 'Pa', `at least vent (${vent} Pa)`);
  const choked = b > 0 && from * b > vent;
  const sonicEnd = choked ? Math.log((from * b) / vent) / a : 0;
  const start = choked ? Math.PI / 2 : angleOfGap((from - vent) / from, b);
  const total = swing(start, b);
  const end = sonicEnd + ((1 - b) * total) / a;
  const ratio = (chi: number) => 1 - 2 * (1 - b) * Math.sin(chi / 2) ** 2;
  const gap = (chi: number) => (vent * 2 * (1 - b) * Math.sin(chi / 2) ** 2) / ratio(chi);
  const angle = (time: number) => swingBack(Math.max(0, total - (a * (time - sonicEnd)) / (1 - b)), b);
  return {
    end,
    sonicEnd,
    angle,
    gap,
    pressure: time => (time < sonicEnd ? from * Math.exp(-a * Math.max(time, 0)) : vent + gap(angle(time))),
    pace: chi => (1 - b) / (a * ratio(chi)),
    timeAtGap: wanted => {
      if (wanted >= from - vent) return 0;
      if (choked && (vent + wanted) * b > vent) return Math.log(from / (vent + wanted)) / a;
      return sonicEnd + ((1 - b) * (total - swing(angleOfGap(wanted / (vent + wanted), b), b))) / a;
    },
    pressureOverTime: (t1, t2) => (from * Math.exp(-a * t1) * -Math.expm1(-a * (t2 - t1))) / a,
    gapOverTime: (x1, x2) => ((4 * (1 - b) ** 2 * vent) / a) * (gapSwing(x2, b) - gapSwing(x1, b)),
  };
}

/** ∫₀^χ dχ/(b + (1 − b)·cos χ). */
function swing(chi: number, b: number): number {
  const v = Math.tan(chi / 2);
  const k = 1 - 2 * b;
  const s = Math.sqrt(Math.abs(k));
  if (s * v < 1e-4) return 2 * v * (1 + (k * v * v) / 3); // next term (s·v)⁴/5, below the last bit
  return (2 * (k > 0 ? Math.atanh(s * v) : Math.atan(s * v))) / s;
}

/**
 * ∫₀^v v²/(1 + k·v²)² dv with v = tan(χ/2), k = 2b − 1: what `gap` over time comes to, less its constant.
 *
 *   (½·swing(χ) − v/(1 + k·v²))/(2k); for small k·v², where that cancels, v³·Σ (−1)ᵐ(m + 1)(k·v²)ᵐ/(2m + 3)
 */
function gapSwing(chi: number, b: number): number {
  const v = Math.tan(chi / 2);
  const k = 2 * b - 1;
  const x = k * v * v;
  if (Math.abs(x) > 0.1) return (swing(chi, b) / 2 - v / (1 + x)) / (2 * k);
  let sum = 0;
  let power = 1;
  for (let m = 0; m < 20; m++) {
    sum += ((m + 1) * power) / (2 * m + 3);
    power *= -x;
  }
  return v ** 3 * sum;
}

/** Inverse of `swing`. */
function swingBack(area: number, b: number): number {
  const k = 1 - 2 * b;
  const s = Math.sqrt(Math.abs(k));
  const half = area / 2;
  if (s * half < 1e-4) return 2 * Math.atan(half * (1 - (k * half * half) / 3));
  return 2 * Math.atan((k > 0 ? Math.tanh(s * half) : Math.tan(s * half)) / s);
}
