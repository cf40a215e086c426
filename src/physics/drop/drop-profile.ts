import { modifiedBesselRatios } from '../../numeric/modified-bessel.ts';

/**
 * The meridian of a sessile drop, in units of the capillary length a = √(γ/(ρg)).
 *
 * With the tangent angle φ, radius x, depth z below the apex and u = 2a/b + z (b the apex radius), Young–Laplace reads
 *   dφ/ds = u − sin φ/x,  dx/ds = cos φ,  dz/ds = sin φ,  dV/ds = π·x²·sin φ.
 * φ grows all the way down a sessile drop, so it may be the independent variable, and the end is known beforehand. As
 * τ = ln tan(φ/2) the steps suit both ends: dφ/dτ = sin φ, sin φ = 2t/(1 + t²), cos φ = (1 − t²)/(1 + t²), t = e^τ.
 */
export interface DropProfile {
  /** Radius of the contact line. */ readonly contactRadius: number;
  /** Greatest radius: at 90° when the drop overhangs. */ readonly greatestRadius: number;
  readonly height: number;
  readonly volume: number;
  /** Twice the apex curvature; zero where it is below the smallest number. */ readonly apexPressure: number;
}

/** The part of the integration that the contact angle alone decides. */
export interface ProfileGrid {
  readonly contactAngle: number;
  /** sin of the contact angle, of 90° beyond: the slope at the greatest radius. */ readonly greatestSine: number;
  readonly legs: readonly Leg[];
  readonly overhangs: boolean;
}

interface Leg {
  readonly start: number; // t = tan(φ/2) at its start
  readonly steps: number;
  readonly step: number; // in τ
}

/**
 * sin φ where the linear solution near the axis hands over. The solution S = u0·I1(x), u = u0·I0(x) leaves out S³/2 in
 * du/dx: at most 1.25e-9 relative at 1e-4, and less than that in the result.
 */
export const START_SINE = 1e-4;
/** Steps in τ: near the axis all errors fade towards the rim, so that they may be coarser there. */
const COARSE_STEP = 0.3;
const FINE_STEP = 0.2;
const FINE_SPAN = 3;

/** The grid for a contact angle [rad] above {@link START_SINE}. */
export function profileGrid(contactAngle: number): ProfileGrid {
  const first = Math.log(Math.tan(Math.asin(START_SINE) / 2));
  const last = Math.log(Math.tan(contactAngle / 2));
  const overhangs = contactAngle > Math.PI / 2;
  const top = overhangs ? 0 : last;
  const middle = Math.max(first, Math.min(top, 0) - FINE_SPAN);
  const legs = [leg(first, middle, COARSE_STEP), leg(middle, top, FINE_STEP)];
  if (overhangs) legs.push(leg(0, last, FINE_STEP));
  return { contactAngle, overhangs, greatestSine: overhangs ? 1 : Math.sin(contactAngle), legs };
}

function leg(from: number, to: number, aim: number): Leg {
  const steps = Math.max(1, Math.ceil((to - from) / aim - 1e-9));
  return { start: Math.exp(from), steps, step: (to - from) / steps };
}

/**
 * Integrates the profile whose tangent has sin φ = {@link START_SINE} at the radius `startRadius` (in capillary
 * lengths). That radius grows with the drop from zero without limit, and tells drops apart even where the apex
 * curvature itself is too small for a number: a puddle's apex is flat to e^(−radius).
 *
 * Valid for: any startRadius above zero. Throws: DomainError when it is not finite and positive.
 */
export function integrateProfile(grid: ProfileGrid, startRadius: number): DropProfile {
  const bessel = modifiedBesselRatios(startRadius);
  const u0 = START_SINE * bessel.inverseI1;
  const state = {
    x: startRadius,
    z: START_SINE * bessel.i0Minus1OverI1,
    volume: Math.PI * START_SINE * bessel.i2OverI1 * startRadius * startRadius, // ∫x²·I1 dx = x²·I2
  };
  let greatestRadius = 0;
  grid.legs.forEach((part, index) => {
    advance(state, u0, part);
    if (index === 1) greatestRadius = state.x;
  });
  return {
    contactRadius: state.x,
    greatestRadius,
    height: state.z,
    volume: state.volume,
    apexPressure: u0,
  };
}

const R = Math.sqrt(21);

/**
 * One leg by the eleven-stage Runge–Kutta method of order 8 of Cooper and Verner (SIAM J. Numer. Anal. 9 (1972)
 * 389–405; coefficients from memory, their order shown by a test). Written out, because this is the inner loop of every
 * check of a recipe. x and z are coupled; the volume is a quadrature on the same stages.
 */
function advance(state: { x: number; z: number; volume: number }, u0: number, part: Leg): void {
  const h = part.step;
  const qLow = Math.exp(((7 - R) / 14) * h);
  const qHalf = Math.exp(h / 2);
  const qHigh = Math.exp(((7 + R) / 14) * h);
  const qEnd = Math.exp(h);
  let { x, z, volume } = state;
  let t = part.start;
  for (let i = 0; i < part.steps; i++) {
    const s0 = (2 * t) / (1 + t * t);
    const c0 = (1 - t * t) / (1 + t * t);
    const tl = t * qLow;
    const sl = (2 * tl) / (1 + tl * tl);
    const cl = (1 - tl * tl) / (1 + tl * tl);
    const tm = t * qHalf;
    const sm = (2 * tm) / (1 + tm * tm);
    const cm = (1 - tm * tm) / (1 + tm * tm);
    const tu = t * qHigh;
    const su = (2 * tu) / (1 + tu * tu);
    const cu = (1 - tu * tu) / (1 + tu * tu);
    t *= qEnd;
    const se = (2 * t) / (1 + t * t);
    const ce = (1 - t * t) / (1 + t * t);

    // g = h·sin φ·x/(x·u − sin φ): the step over dφ/ds; then dx = g·cos φ, dz = g·sin φ
    const g1 = (h * s0 * x) / (x * (u0 + z) - s0);
    const x1 = g1 * c0;
    const z1 = g1 * s0;

    let X = x + x1 / 2;
    let Z = z + z1 / 2;
    let g = (h * sm * X) / (X * (u0 + Z) - sm);
    const x2 = g * cm;
    const z2 = g * sm;

    X = x + x1 / 4 + x2 / 4;
    Z = z + z1 / 4 + z2 / 4;
    g = (h * sm * X) / (X * (u0 + Z) - sm);
    const x3 = g * cm;
    const z3 = g * sm;

    X = x + x1 / 7 - A42 * x2 + A43 * x3;
    Z = z + z1 / 7 - A42 * z2 + A43 * z3;
    g = (h * su * X) / (X * (u0 + Z) - su);
    const x4 = g * cu;
    const z4 = g * su;

    X = x + A51 * x1 + A53 * x3 + A54 * x4;
    Z = z + A51 * z1 + A53 * z3 + A54 * z4;
    g = (h * su * X) / (X * (u0 + Z) - su);
    const x5 = g * cu;
    const z5 = g * su;

    X = x + A61 * x1 + A63 * x3 + A64 * x4 + A65 * x5;
    Z = z + A61 * z1 + A63 * z3 + A64 * z4 + A65 * z5;
    g = (h * sm * X) / (X * (u0 + Z) - sm);
    const x6 = g * cm;
    const z6 = g * sm;

    X = x + A71 * x1 + A73 * x3 + A74 * x4 + A75 * x5 + A76 * x6;
    Z = z + A71 * z1 + A73 * z3 + A74 * z4 + A75 * z5 + A76 * z6;
    g = (h * sl * X) / (X * (u0 + Z) - sl);
    const x7 = g * cl;
    const z7 = g * sl;

    X = x + x1 / 14 + A85 * x5 + A86 * x6 + x7 / 9;
    Z = z + z1 / 14 + A85 * z5 + A86 * z6 + z7 / 9;
    g = (h * sl * X) / (X * (u0 + Z) - sl);
    const x8 = g * cl;
    const z8 = g * sl;
    const v8 = X * X * z8;

    X = x + x1 / 32 + A95 * x5 + A96 * x6 + A97 * x7 + A98 * x8;
    Z = z + z1 / 32 + A95 * z5 + A96 * z6 + A97 * z7 + A98 * z8;
    g = (h * sm * X) / (X * (u0 + Z) - sm);
    const x9 = g * cm;
    const z9 = g * sm;
    const v9 = X * X * z9;

    X = x + x1 / 14 + x5 / 9 + B6 * x6 + B7 * x7 + B8 * x8 + B9 * x9;
    Z = z + z1 / 14 + z5 / 9 + B6 * z6 + B7 * z7 + B8 * z8 + B9 * z9;
    g = (h * su * X) / (X * (u0 + Z) - su);
    const x10 = g * cu;
    const z10 = g * su;
    const v10 = X * X * z10;

    X = x + C5 * x5 + C6 * x6 + C7 * x7 + C8 * x8 + C9 * x9 + C10 * x10;
    Z = z + C5 * z5 + C6 * z6 + C7 * z7 + C8 * z8 + C9 * z9 + C10 * z10;
    g = (h * se * X) / (X * (u0 + Z) - se);
    const x11 = g * ce;
    const z11 = g * se;

    volume += (Math.PI * (9 * x * x * z1 + 49 * v8 + 64 * v9 + 49 * v10 + 9 * X * X * z11)) / 180;
    x += (9 * x1 + 49 * x8 + 64 * x9 + 49 * x10 + 9 * x11) / 180;
    z += (9 * z1 + 49 * z8 + 64 * z9 + 49 * z10 + 9 * z11) / 180;
  }
  state.x = x;
  state.z = z;
  state.volume = volume;
}

// Row by row; a leading minus sign stands in the sum where it reads better there.
const A42 = (7 + 3 * R) / 98;
const A43 = (21 + 5 * R) / 49;
const A51 = (11 + R) / 84;
const A53 = (18 + 4 * R) / 63;
const A54 = (21 - R) / 252;
const A61 = (5 + R) / 48;
const A63 = (9 + R) / 36;
const A64 = (-231 + 14 * R) / 360;
const A65 = (63 - 7 * R) / 80;
const A71 = (10 - R) / 42;
const A73 = (-432 + 92 * R) / 315;
const A74 = (633 - 145 * R) / 90;
const A75 = (-504 + 115 * R) / 70;
const A76 = (63 - 13 * R) / 35;
const A85 = (14 - 3 * R) / 126;
const A86 = (13 - 3 * R) / 63;
const A95 = (91 - 21 * R) / 576;
const A96 = 11 / 72;
const A97 = (-385 - 75 * R) / 1152;
const A98 = (63 + 13 * R) / 128;
const B6 = (-733 - 147 * R) / 2205;
const B7 = (515 + 111 * R) / 504;
const B8 = (-51 - 11 * R) / 56;
const B9 = (132 + 28 * R) / 245;
const C5 = (-42 + 7 * R) / 18;
const C6 = (-18 + 28 * R) / 45;
const C7 = (-273 - 53 * R) / 72;
const C8 = (301 + 53 * R) / 72;
const C9 = (28 - 28 * R) / 45;
const C10 = (49 - 7 * R) / 18;
