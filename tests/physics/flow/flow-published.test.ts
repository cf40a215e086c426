import { describe, expect, it } from 'vitest';
import { integrate } from '../../../src/numeric/quadrature.ts';
import { needleFlow, needlePressureDrop } from '../../../src/physics/flow/needle-flow.ts';
import { tubeFlowRate } from '../../../src/physics/flow/tube-flow.ts';
import { wallCurve } from '../../../src/physics/flow/wall-curve.ts';
import type { Rheology } from '../../../src/physics/rheology/rheology.ts';
import { shearRateAt } from '../rheology/shear-rate-at.ts';
import { relative } from './flow-models.ts';
import { herschelBulkleyTubeFlowRate } from './tube-flow-closed-forms.ts';
import { wallStressForFlow } from './wall-stress-for-flow.ts';

// READ: the figure was seen in the source named. COMPUTED: worked out by others than this code (SciPy), from inputs that
// were read. Published examples leave end effects out, so `ends` is none here.
const tube = (diameter: number, length: number) => ({ front: diameter, rear: diameter, length });
const WATER: Rheology = { model: 'newtonian', viscosity: 1e-3 };
const PSI = 6894.757293168361; // [Pa], exact to the digits of a double

describe('Newtonian needles', () => {
  // hp-needle-1, READ: justaaa.com/physics/224862, hypodermic needle and water; 7 digits
  it('give the pressure of a textbook needle', () => {
    const drop = needlePressureDrop({ rheology: WATER, sections: [tube(0.35e-3, 31.4e-3)], flow: 1e-6, ends: 'none' });
    expect(Math.abs(drop - 85254.55)).toBeLessThan(0.005);
  });

  const TIPS = { '5 mm': tube(71e-6, 5e-3), '2 mm': tube(71e-6, 2e-3) };
  const NEEDLE = tube(0.26e-3, 35e-3);
  const TUBE = tube(0.5e-3, 0.15);

  // hp-series-cannula, READ: doi 10.1371/journal.pone.0344836, table 1: hydraulic resistances in 1e12 Pa·s/m³, 2 decimals
  it('give the hydraulic resistances of a cannula system', () => {
    for (const [section, resistance] of [
      [TIPS['5 mm'], 8.02],
      [TIPS['2 mm'], 3.21],
      [NEEDLE, 0.31],
      [TUBE, 0.1],
    ] as const) {
      const drop = needlePressureDrop({ rheology: WATER, sections: [section], flow: 1e-9, ends: 'none' });
      expect(Math.abs(drop / 1e-9 / 1e12 - resistance)).toBeLessThan(0.00501);
    }
  });

  // Same, table 2: 16 flows in µL/s, 2 decimals. The 5 psi threshold is inferred from the table: flow extrapolates to zero.
  it.each([
    ['5 mm', [0.82, 2.45, 4.09, 5.73, 7.36, 9.0, 10.64, 12.27]],
    ['2 mm', [1.91, 5.72, 9.53, 13.34, 17.16, 20.97, 24.78, 28.6]],
  ] as const)('give the flows of three passages in series, tip of %s', (tip, flows) => {
    [6, 8, 10, 12, 14, 16, 18, 20].forEach((psi, i) => {
      const sections = [TUBE, NEEDLE, TIPS[tip]];
      const { flow } = needleFlow({
        rheology: WATER,
        sections,
        pressure: (psi - 5) * PSI,
        density: 1000,
        ends: 'none',
      });
      expect(Math.abs(flow * 1e9 - flows[i]!)).toBeLessThan(0.0055);
    });
  });

  // Viscosities at 20 °C: water 1.0016 mPa·s, READ (IAPWS R12-08 gives 1.001597); glycerol 1410 mPa·s, READ (www3.nd.edu/~dtl, viscosity.m).
  // A Newtonian flow is known to the digits of its viscosity: π·ΔP·R⁴/(8ηL) by hand.
  it.each([
    ['water', 1.0016e-3, 1e4],
    ['glycerol', 1.41, 2e5],
  ])('carry %s as Hagen–Poiseuille says', (_, viscosity, pressure) => {
    const [radius, length] = [0.2064e-3, 12.7e-3];
    const rheology: Rheology = { model: 'newtonian', viscosity };
    const r = needleFlow({ rheology, sections: [tube(2 * radius, length)], pressure, density: 1000, ends: 'none' });
    expect(relative(r.flow, (Math.PI * pressure * radius ** 4) / (8 * viscosity * length))).toBeLessThan(1e-13);
  });

  it('warn of turbulence and of kinetic loss with water, where the laminar model ends', () => {
    const r = needleFlow({ rheology: WATER, sections: [tube(1.6e-3, 12.7e-3)], pressure: 1e4, density: 998 });
    expect(r.reynolds).toBeGreaterThan(2000);
    expect(r.kineticShare).toBeGreaterThan(0.01);
  });
});

describe('a power law', () => {
  // pl-profile-cr340, READ: Coulson & Richardson vol. 1, Solutions, problem 3.40: 70 mm pipe, 2 m, 40 kPa; 1.5 times the
  // pressure doubles the flow; centre velocity 0.8 m/s.
  const n = Math.log(1.5) / Math.log(2);
  const [radius, length] = [0.035, 2];
  const wallStress = (40e3 * radius) / (2 * length);
  const rheology: Rheology = { model: 'power-law', consistency: 31.3232, flowIndex: n }; // K COMPUTED, 6 digits

  it('has the published index, and doubles its flow at 1.5 times the pressure', () => {
    expect(Math.abs(n - 0.585)).toBeLessThan(0.0005);
    const flow = (pressure: number) =>
      needleFlow({ rheology, sections: [tube(2 * radius, length)], pressure, density: 1000, ends: 'none' }).flow;
    expect(relative(flow(60e3), 2 * flow(40e3))).toBeLessThan(1e-12);
  });

  it('has the published velocity profile', () => {
    const velocity = (r: number) => integrate(x => shearRateAt(rheology, (wallStress * x) / radius), r, radius);
    expect(Math.abs(velocity(0) - 0.8)).toBeLessThan(0.005);
    expect(Math.abs(velocity(0.01) - 0.77)).toBeLessThan(0.005);
    expect(Math.abs(velocity(0.02) - 0.62)).toBeLessThan(0.005);
    expect(Math.abs(velocity(0.03) - 0.27)).toBeLessThan(0.005);
  });

  it('has the flow and wall shear rate that go with it', () => {
    // COMPUTED from the published data, 7 and 6 digits
    expect(relative(tubeFlowRate({ rheology, radius, wallShearStress: wallStress }), 0.001771296)).toBeLessThan(1e-5);
    expect(relative(wallCurve(rheology).atStress(wallStress).shearRate, 61.9317)).toBeLessThan(1e-5);
  });
});

describe('Bingham tubes', () => {
  // bingham-china-clay: statement READ (Chhabra & Richardson, 2nd ed., example 3.2): τ₀ 15 Pa, η 0.15 Pa·s, D 40 mm,
  // L 200 m, 0.6 m/s in the middle; pressure drop COMPUTED as 639 198.72 Pa.
  it('push china clay at the wanted centre velocity', () => {
    const rheology: Rheology = { model: 'bingham', yieldStress: 15, viscosity: 0.15 };
    const wallStress = (639198.72 * 0.02) / (2 * 200);
    const plug = (0.02 * 15) / wallStress; // radius of the plug [m]
    const velocity = integrate(r => shearRateAt(rheology, (wallStress * r) / 0.02), plug, 0.02);
    expect(relative(velocity, 0.6)).toBeLessThan(1e-7); // 8 digits of pressure
  });

  // bingham-tube: statement READ (unifolks.com 547261): τ₀ 1000 Pa, R 2 mm, L 1 m, η 0.1 Pa·s, Q 2e-7 m³/s; COMPUTED
  // ΔP 1.04125 MPa, yield 1.000 MPa.
  it('need the pressure of a stiff paste', () => {
    const needle = {
      rheology: { model: 'bingham', yieldStress: 1000, viscosity: 0.1 } as Rheology,
      sections: [tube(4e-3, 1)],
      ends: 'none' as const,
    };
    expect(relative(needlePressureDrop({ ...needle, flow: 2e-7 }), 1.04125e6)).toBeLessThan(5e-6);
    expect(relative(needlePressureDrop({ ...needle, flow: 0 }), 1e6)).toBeLessThan(1e-14);
    expect(needleFlow({ ...needle, pressure: 1e6, density: 1500 })).toMatchObject({ flow: 0, yieldPressure: 1e6 });
  });
});

describe('models without a published flow', () => {
  // hb-needle-selfcheck, COMPUTED: closed form and adaptive quadrature agree to 1e-14; 14 digits given
  it('meet an independent Herschel–Bulkley computation', () => {
    const needle = { radius: 0.1295e-3, length: 12.7e-3, pressureDrop: 4e5 };
    const paste = { yieldStress: 20, consistency: 8, flowIndex: 0.8 };
    expect(relative(herschelBulkleyTubeFlowRate({ ...needle, ...paste }), 1.6090591135157e-9)).toBeLessThan(1e-12);
    const rheology: Rheology = { model: 'herschel-bulkley', ...paste };
    const wallShearStress = (needle.pressureDrop * needle.radius) / (2 * needle.length);
    expect(
      relative(tubeFlowRate({ rheology, radius: needle.radius, wallShearStress }), 1.6090591135157e-9),
    ).toBeLessThan(1e-12);
  });

  // carreau-blood: parameters READ (Cho & Kensey 1991, in public code); tube COMPUTED by the Rabinowitsch integral
  it('meet an independent Carreau computation', () => {
    const rheology: Rheology = {
      model: 'carreau-yasuda',
      zero: 0.056,
      infinity: 0.00345,
      time: 3.313,
      a: 2,
      n: 0.3568,
    };
    const [radius, length] = [0.1295e-3, 12.7e-3];
    const sections = [tube(2 * radius, length)];
    const r = needleFlow({ rheology, sections, pressure: 1000, density: 1060, ends: 'none' });
    expect(relative(r.wallShearStress, 5.0984251969)).toBeLessThan(1e-10);
    expect(relative(r.wallShearRate, 1384.69735)).toBeLessThan(1e-8);
    expect(relative(r.flow, 2.33247834e-9)).toBeLessThan(5e-9); // 9 digits given
    expect(relative(wallStressForFlow({ rheology, radius, flow: 2.33247834e-9 }), 5.0984251969)).toBeLessThan(1e-8);
  });
});
