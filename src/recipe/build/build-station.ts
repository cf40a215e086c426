import type { AirBlock, Station } from '../schema/recipe.ts';
import type { RecipeData } from '../schema/recipe-schema.ts';
import type { BuildContext } from './build-context.ts';
import { compact } from './compact.ts';

type StationData = NonNullable<RecipeData['station']>;
type AirData = NonNullable<StationData['air']>;

/** Defaults of the station [SI]. */
const DEFAULTS = {
  exponent: 1,
  ventTo: 0,
  leftOver: 0,
  plungerFriction: 0,
  addStep: 0.01,
  stages: 1,
  atmosphere: 101325,
};

/** The station of its data. */
export function buildStation(s: StationData, ctx: BuildContext): Station {
  const at = (key: string) => `station.${key}`;
  return compact({
    name: s.name,
    pressure:
      s.pressure &&
      compact({
        ...limits(s.pressure, 'pressure', ctx),
        accuracy: ctx.deviation(s.pressure.accuracy, at('pressure.accuracy')),
      }),
    dwell:
      s.dwell &&
      compact({ ...limits(s.dwell, 'dwell', ctx), jitter: ctx.deviation(s.dwell.jitter, at('dwell.jitter')) }),
    rating: ctx.maybe(s.rating, at('rating')),
    air: buildAir(s.air, ctx),
    hold_back: s.hold_back && { max: ctx.quantity(s.hold_back.max, at('hold_back.max')) },
    syringe: s.syringe && buildSyringe(s.syringe, ctx),
    ramp: {
      add_step: ctx.or(s.ramp?.add_step, at('ramp.add_step'), s.dwell?.step.value ?? DEFAULTS.addStep),
      stages: s.ramp?.stages ?? DEFAULTS.stages,
    },
    atmosphere: ctx.or(s.atmosphere, at('atmosphere'), DEFAULTS.atmosphere),
    display: compact({ pressure: s.display?.pressure, vacuum: s.display?.vacuum }),
  });
}

function limits(data: NonNullable<StationData['pressure'] | StationData['dwell']>, key: string, ctx: BuildContext) {
  return {
    min: ctx.quantity(data.min, `station.${key}.min`),
    max: ctx.quantity(data.max, `station.${key}.max`),
    step: ctx.quantity(data.step, `station.${key}.step`),
  };
}

function buildSyringe(s: NonNullable<StationData['syringe']>, ctx: BuildContext): NonNullable<Station['syringe']> {
  const at = (key: string) => `station.syringe.${key}`;
  return compact({
    barrel: ctx.maybe(s.barrel, at('barrel')),
    inside_diameter: ctx.maybe(s.inside_diameter, at('inside_diameter')),
    fill: ctx.quantity(s.fill, at('fill')),
    left_over: ctx.or(s.left_over, at('left_over'), DEFAULTS.leftOver),
    plunger_friction: ctx.or(s.plunger_friction, at('plunger_friction'), DEFAULTS.plungerFriction),
  });
}

function buildAir(air: AirData | undefined, ctx: BuildContext): AirBlock {
  const at = (key: string) => `station.air.${key}`;
  const exponent = ctx.or(air?.exponent, at('exponent'), DEFAULTS.exponent);
  if (air === undefined || air.model === 'ideal') return { exponent, model: 'ideal' };
  if (air.model === 'first-order') {
    return {
      exponent,
      model: 'first-order',
      rise: ctx.quantity(air.rise, at('rise')),
      fall: ctx.quantity(air.fall, at('fall')),
      delay: ctx.quantity(air.delay, at('delay')),
    };
  }
  const conductance = ctx.quantity(air.conductance, at('conductance'));
  const ratio = ctx.quantity(air.critical_ratio, at('critical_ratio'));
  return compact({
    exponent,
    model: 'iso6358' as const,
    conductance,
    critical_ratio: ratio,
    // Without values of its own the exhaust is the same part, and moves with it.
    exhaust_conductance: ctx.maybe(air.exhaust_conductance, at('exhaust_conductance')) ?? conductance,
    exhaust_critical_ratio: ctx.maybe(air.exhaust_critical_ratio, at('exhaust_critical_ratio')) ?? ratio,
    hose: air.hose && {
      inside_diameter: ctx.quantity(air.hose.inside_diameter, at('hose.inside_diameter')),
      length: ctx.quantity(air.hose.length, at('hose.length')),
    },
    vent_to: ctx.or(air.vent_to, at('vent_to'), DEFAULTS.ventTo),
  });
}
