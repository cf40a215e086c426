import type { Calibration, Connector, Needle, Process, RampStage, Recipe, Settings } from '../schema/recipe.ts';
import type { RecipeData } from '../schema/recipe-schema.ts';
import type { BuildContext } from './build-context.ts';
import { buildResin } from './build-resin.ts';
import { buildStation } from './build-station.ts';
import { compact } from './compact.ts';

type Block<K extends keyof RecipeData> = NonNullable<RecipeData[K]>;

/** Defaults of the format [SI]; those of a block that depends on another value stand with that block. */
const DEFAULTS = {
  protrusion: 0,
  allowance: 0,
  boreContactAngle: Math.PI / 2,
  readyAfter: 0,
  prime: 3,
  practicalDwell: [0.2, 4],
} as const;

/**
 * How each key at the top of a recipe is built: defaults filled in, everything in SI. A block knows nothing of the others, so
 * that one that reads the same in two recipes is built once.
 */
const BUILD = {
  recipe: () => 1 as const,
  name: name => name,
  notes: notes => notes,
  connector: buildConnector,
  needle: buildNeedle,
  resin: buildResin,
  station: buildStation,
  process: buildProcess,
  settings: buildSettings,
  calibration: buildCalibration,
  silence: list => list.map(({ code, reason }, i) => compact({ code, reason, path: `silence[${i}]` })),
  correlations: list =>
    list.map(({ between, r }, i) => ({
      between: [between[0], between[1]] as const,
      r,
      path: `correlations[${i}]`,
    })),
} satisfies { [K in keyof RecipeData]-?: (block: Block<K>, ctx: BuildContext) => unknown };

export type BlockKey = keyof RecipeData;
export type BuiltBlocks = { [K in BlockKey]?: unknown };

export function isBlockKey(key: string): key is BlockKey {
  return Object.hasOwn(BUILD, key);
}

/** One block of data that are as they should be; undefined where they have none. */
export function builtBlock(key: BlockKey, data: RecipeData, ctx: BuildContext): unknown {
  const block = data[key];
  const build = BUILD[key] as (block: unknown, ctx: BuildContext) => unknown;
  return block === undefined ? undefined : build(block, ctx);
}

/** The recipe of its blocks. */
export function assembled(blocks: BuiltBlocks): Recipe {
  const all = blocks as { [K in BlockKey]?: ReturnType<(typeof BUILD)[K]> };
  return compact({
    recipe: 1 as const,
    name: all.name,
    notes: all.notes,
    connector: all.connector,
    needle: all.needle,
    resin: all.resin,
    station: all.station,
    process: all.process,
    settings: all.settings,
    calibration: all.calibration,
    silence: all.silence ?? [],
    correlations: all.correlations ?? [],
  });
}

function buildConnector(c: Block<'connector'>, ctx: BuildContext): Connector {
  const at = (key: string) => `connector.${key}`;
  return compact({
    cavity: ctx.sections(c.cavity, at('cavity')),
    face: ctx.maybe(c.face, at('face')),
    cable: ctx.sections(c.cable, at('cable')),
    protrusion: ctx.or(c.protrusion, at('protrusion'), DEFAULTS.protrusion),
    bead: c.bead && {
      diameter: ctx.quantity(c.bead.diameter, at('bead.diameter')),
      contact_angle: ctx.quantity(c.bead.contact_angle, at('bead.contact_angle')),
    },
    reach:
      c.reach &&
      compact({
        min: ctx.quantity(c.reach.min, at('reach.min')),
        max: ctx.quantity(c.reach.max, at('reach.max')),
        aim: ctx.maybe(c.reach.aim, at('reach.aim')),
      }),
    allowance: ctx.or(c.allowance, at('allowance'), DEFAULTS.allowance),
    bore_contact_angle: ctx.or(c.bore_contact_angle, at('bore_contact_angle'), DEFAULTS.boreContactAngle),
  });
}

function buildNeedle(n: Block<'needle'>, ctx: BuildContext): Needle {
  const at = (key: string) => `needle.${key}`;
  return compact({
    gauge: n.gauge,
    wall: n.wall ?? 'regular',
    length: ctx.maybe(n.length, at('length')),
    bore: ctx.maybe(n.bore, at('bore')),
    outside: ctx.maybe(n.outside, at('outside')),
    sections: ctx.sections(n.sections, at('sections')),
    ends: n.ends ?? 'entrance',
    contact_angle: ctx.maybe(n.contact_angle, at('contact_angle')),
  });
}

function buildProcess(p: Block<'process'>, ctx: BuildContext): Process {
  const at = (key: string) => `process.${key}`;
  const t = p.temperature;
  const dwell = p.practical_dwell;
  const [least, greatest] = DEFAULTS.practicalDwell;
  return compact({
    temperature:
      t === undefined
        ? undefined
        : 'profile' in t
          ? { profile: ctx.points(t.profile, at('temperature.profile')) }
          : ctx.quantity(t, at('temperature')),
    takt: ctx.maybe(p.takt, at('takt')),
    ready_after: ctx.or(p.ready_after, at('ready_after'), DEFAULTS.readyAfter),
    tolerance: ctx.maybe(p.tolerance, at('tolerance')),
    stop_at:
      p.stop_at &&
      compact({
        viscosity_factor: ctx.maybe(p.stop_at.viscosity_factor, at('stop_at.viscosity_factor')),
        age: ctx.maybe(p.stop_at.age, at('stop_at.age')),
      }),
    bore_shot: p.bore_shot ?? 'by_sight',
    prime: p.prime ?? DEFAULTS.prime,
    practical_dwell: [
      ctx.or(dwell?.[0], at('practical_dwell[0]'), least),
      ctx.or(dwell?.[1], at('practical_dwell[1]'), greatest),
    ] as const,
  });
}

function buildSettings(s: Block<'settings'>, ctx: BuildContext): Settings {
  const at = (key: string) => `settings.${key}`;
  const ramp = s.ramp;
  return compact({
    pressure: ctx.maybe(s.pressure, at('pressure')),
    dwell: ctx.maybe(s.dwell, at('dwell')),
    ramp: ramp?.stages.map((stage, i): RampStage => {
      const here = ramp.single ? at('ramp') : at(`ramp[${i}]`);
      return compact({
        from_shot: stage.from_shot ?? 1,
        first: ctx.maybe(stage.first, `${here}.first`),
        add: ctx.quantity(stage.add, `${here}.add`),
        every: stage.every,
      });
    }),
  });
}

function buildCalibration(c: Block<'calibration'>, ctx: BuildContext): Calibration {
  const at = (key: string) => `calibration.${key}`;
  return compact({
    viscosity_factor: ctx.or(c.viscosity_factor, at('viscosity_factor'), 1),
    pressure_offset: ctx.or(c.pressure_offset, at('pressure_offset'), 0),
    dead_time: ctx.or(c.dead_time, at('dead_time'), 0),
    date: c.date,
    data: c.data,
    digest: c.digest,
  });
}
