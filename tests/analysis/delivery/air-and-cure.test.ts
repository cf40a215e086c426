import { describe, expect, it } from 'vitest';
import { airModel, airModelFindings, stationAirVolume } from '../../../src/analysis/delivery/air-model.ts';
import {
  ageFindings,
  cureModel,
  cureModelFindings,
  temperatureFindings,
  temperatureProfile,
} from '../../../src/analysis/delivery/cure-model.ts';
import { deliveryCodes } from '../../../src/diagnostics/codes/delivery-codes.ts';
import type { Finding } from '../../../src/diagnostics/finding.ts';
import { cureCurve } from '../../../src/physics/cure/cure.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const ISO = {
  ...{ model: 'iso6358', conductance: 0.3e-8, critical_ratio: 0.3, exhaust_conductance: 0.2e-8 },
  ...{ exhaust_critical_ratio: 0.35, vent_to: -2e3, exponent: 1 },
  hose: { inside_diameter: 4e-3, length: 1.5 },
};
const station = (overrides: Record<string, unknown>) => exampleRecipe(overrides).station!;
const resin = (cure: unknown) => exampleRecipe({ 'resin.cure': cure }).resin!;
/** code at path, and that code and severity are in the table. */
const said = (findings: readonly Finding[]) =>
  findings.map(f => {
    expect(deliveryCodes[f.code as keyof typeof deliveryCodes].severity).toBe(f.severity);
    expect(f.help).toBe(deliveryCodes[f.code as keyof typeof deliveryCodes].remedy);
    return `${f.code} ${f.path}`;
  });

describe('airModel', () => {
  it('takes every number of a block', () => {
    expect(airModel(station({ 'station.air': ISO }).air)).toEqual({
      ...{ model: 'iso6358', conductance: 0.3e-8, criticalRatio: 0.3, exhaustConductance: 0.2e-8 },
      ...{ exhaustCriticalRatio: 0.35, ventTo: -2e3, exponent: 1 },
    });
    const lag = { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01, exponent: 1 };
    expect(airModel(station({ 'station.air': lag }).air)).toEqual({
      model: 'first-order',
      rise: 0.06,
      fall: 0.08,
      delay: 0.01,
    });
    expect(airModel(station({ 'station.air': { model: 'ideal', exponent: 1 } }).air)).toEqual({ model: 'ideal' });
  });

  it('says at which key a number is out of range', () => {
    const air = { ...ISO, critical_ratio: 1, exhaust_conductance: 0, vent_to: 5e3, exponent: 2 };
    expect(said(airModelFindings(station({ 'station.air': air })))).toEqual([
      'air-model-invalid station.air.exhaust_conductance',
      'air-model-invalid station.air.critical_ratio',
      'air-model-invalid station.air.exponent',
      'air-model-invalid station.air.vent_to',
    ]);
    expect(airModelFindings(station({ 'station.air': ISO }))).toEqual([]);
  });

  it('asks for the barrel, and no more in it than it holds', () => {
    const none = station({ 'station.air': ISO, 'station.syringe.barrel': undefined });
    expect(said(airModelFindings(none))).toEqual(['air-volume-unknown station.syringe.barrel']);
    expect(stationAirVolume({ station: none, dispensed: 0 })).toBeNull();
    const over = station({ 'station.air': ISO, 'station.syringe.fill': 11e-6 });
    expect(said(airModelFindings(over))).toEqual(['syringe-overfull station.syringe.fill']);
    expect(stationAirVolume({ station: over, dispensed: 0 })).toBeNull();
  });
});

describe('stationAirVolume', () => {
  it('is the ullage, which grows, and the hose', () => {
    // 10 mL barrel, 5 mL fill, 1 mL gone; hose π/4·4²·1500 mm³ = 18.849556 mL
    expect(stationAirVolume({ station: station({ 'station.air': ISO }), dispensed: 1e-6 })! * 1e6).toBeCloseTo(
      24.849556,
      6,
    );
    expect(stationAirVolume({ station: station({}), dispensed: 0 })! * 1e6).toBeCloseTo(5, 12);
  });
});

describe('cureModel', () => {
  it('takes every number of a block, and the resin’s reference temperature unless it has its own', () => {
    expect(cureModel(resin({ model: 'none' }))).toEqual({ model: 'none' });
    const potLife = { model: 'pot-life', time: 3600, factor: 2 };
    expect(cureModel(resin(potLife))).toEqual({ ...potLife, referenceTemperature: 298.15 });
    expect(cureModel(resin({ ...potLife, activation_energy: 60e3, reference_temperature: 296.15 }))).toEqual({
      ...{ ...potLife, activationEnergy: 60e3, referenceTemperature: 296.15 },
    });
    expect(cureModel(resin({ model: 'roller', rate: 2e6, activation_energy: 63e3 }))).toEqual({
      ...{ model: 'roller', rate: 2e6, activationEnergy: 63e3 },
    });
    const rates = { model: 'castro-macosko', A1: 2.5e5, E1: 62e3, A2: 1e6, E2: 60e3, m: 0.8, n: 1.5, c1: 2, c2: 1 };
    expect(cureModel(resin({ ...rates, gel_conversion: 0.55 }))).toEqual({ ...rates, gelConversion: 0.55 });
    const points = [
      [0, 1],
      [1800, 1.4],
    ];
    expect(cureModel(resin({ model: 'table', points }))).toEqual({
      model: 'table',
      points,
      referenceTemperature: 298.15,
    });
  });

  it('says at which key a number is out of range', () => {
    const kinetics = {
      model: 'castro-macosko',
      A1: 0,
      E1: 0,
      A2: 1,
      E2: 0,
      m: 1,
      n: 1,
      gel_conversion: 2,
      c1: 1,
      c2: 0,
    };
    expect(said(cureModelFindings(cureModel(resin(kinetics))))).toEqual([
      'cure-model-invalid resin.cure.A1',
      'cure-model-invalid resin.cure.gel_conversion',
    ]);
    const points = [
      [0, 1],
      [0, 0],
    ];
    expect(said(cureModelFindings(cureModel(resin({ model: 'table', points }))))).toEqual([
      'cure-model-invalid resin.cure.points[1][0]',
      'cure-model-invalid resin.cure.points[1][1]',
    ]);
  });
});

describe('temperatureProfile', () => {
  it('is a number, points, or null', () => {
    expect(temperatureProfile(undefined)).toBeNull();
    expect(temperatureProfile(exampleRecipe({ 'process.temperature': 296.15 }).process)).toBe(296.15);
    const profile = [
      [0, 253.15],
      [1800, 293.15],
    ];
    expect(temperatureProfile(exampleRecipe({ 'process.temperature': { profile } }).process)).toEqual(profile);
  });

  it('must rise in age and stay above absolute zero', () => {
    expect(temperatureFindings(null)).toEqual([]);
    expect(temperatureFindings([[0, 300]])).toEqual([]);
    expect(said(temperatureFindings(0))).toEqual(['temperature-invalid process.temperature']);
    expect(said(temperatureFindings([]))).toEqual(['temperature-invalid process.temperature.profile']);
    const bad = [
      [10, 300],
      [10, -1],
    ] as const;
    expect(said(temperatureFindings(bad))).toEqual([
      'temperature-invalid process.temperature.profile[1][0]',
      'temperature-invalid process.temperature.profile[1][1]',
    ]);
  });
});

describe('ageFindings', () => {
  it('warns past the end of a table, inclusive', () => {
    const points = [
      [0, 1],
      [1800, 1.4],
    ] as const;
    const curve = cureCurve({ cure: { model: 'table', points, referenceTemperature: 298.15 }, temperature: 298.15 });
    expect(ageFindings({ curve, age: 1800 })).toEqual([]);
    const [past] = ageFindings({ curve, age: 2400 });
    expect(said([past!])).toEqual(['age-past-table resin.cure.points']);
    expect(past!.message).toBe('an age of 40 min is beyond the cure table, which ends at 30 min');
  });

  it('stops past 90 % of the gel age', () => {
    const kinetics = {
      model: 'castro-macosko',
      A1: 1e-3,
      E1: 0,
      A2: 0,
      E2: 0,
      m: 1,
      n: 1,
      gel_conversion: 0.5,
      c1: 1,
      c2: 1,
    };
    const curve = cureCurve({ cure: cureModel(resin(kinetics)), temperature: 298.15 });
    // first order: half converted at ln 2/k = 693.15 s, 90 % of it 623.83 s
    expect(ageFindings({ curve, age: 623 })).toEqual([]);
    expect(said(ageFindings({ curve, age: 625 }))).toEqual(['age-past-gel resin.cure']);
    expect(ageFindings({ curve, age: 625 })[0]!.message).toBe(
      'at an age of 10.42 min the resin is past 10.4 min, 90 % of its gel age of 11.55 min',
    );
  });
});
