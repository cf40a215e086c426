import type { Finding } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import type { Needle, Recipe } from '../../recipe/schema/recipe.ts';
import { cavityBook } from '../cavity/cavity-book.ts';
import { needleRoom } from '../cavity/needle-room.ts';
import { type NeedleChoice, needleName, withNeedle } from '../needles/needle-choice.ts';
import { type PossibleSettings, possibleSettings } from '../setpoint/possible-settings.ts';
import { type SetpointPrograms, setpointPrograms } from '../setpoint/setpoint-program.ts';
import type { Pair } from '../setpoint/setpoint-search.ts';
import { impossible } from '../setpoint/station-grid.ts';

/** A recipe of a family, with the file that it stands in. */
export interface FamilyMember {
  readonly file: string;
  readonly recipe: Recipe;
}

/** A member with one of the needles in it, and what the station can then do for it. */
export interface FittedMember {
  readonly member: FamilyMember;
  /** With that needle. */
  readonly recipe: Recipe;
  readonly settings: PossibleSettings;
  /** By pressure, as `pressureKey` writes it. */
  readonly pairs: ReadonlyMap<string, Pair>;
  /** Step programs; null where the recipe does not tell a run. */
  readonly programs: () => SetpointPrograms | null;
}

/** A needle that all members are tried with. */
export interface FamilyNeedle {
  readonly name: string;
  readonly needle: Needle;
  /** In the order of the members; null for a member that it does not serve, which `because` is about. */
  readonly members: readonly (FittedMember | null)[];
  readonly because: readonly string[];
  /** Why each member cannot be computed with it, as findings; empty where it can. */
  readonly findings: readonly (readonly Finding[])[];
}

/** Two stations set the same pressure [Pa] when it is the same to twelve digits. */
export function pressureKey(pressure: number): string {
  return pressure.toPrecision(12);
}

/** The needles to try: those asked for, else each that a member has. */
export function familyNeedles(
  members: readonly FamilyMember[],
  options: { readonly pressure?: number; readonly needles?: readonly NeedleChoice[] },
): FamilyNeedle[] {
  const { needles, pressure } = options;
  const made =
    needles === undefined
      ? members.map(
          ({ recipe }) =>
            (own: Recipe) =>
              withBlock(own, recipe.needle),
        )
      : needles.map(choice => (own: Recipe) => withNeedle(own, choice));
  const seen = new Set<string>();
  return made.flatMap(place => {
    const recipes = members.map(({ recipe }) => place(recipe));
    const { needle } = recipes[0]!;
    if (needle === undefined) return [];
    const key = numbersOf(needle);
    if (seen.has(key)) return [];
    seen.add(key);
    return [tried(members, recipes, needle, pressure)];
  });
}

function withBlock(recipe: Recipe, needle: Needle | undefined): Recipe {
  return needle === undefined ? recipe : { ...recipe, needle };
}

/** What a needle is, whatever file its block stands in. */
function numbersOf(needle: Needle): string {
  return JSON.stringify(needle, (key, value) => (key === 'path' || key === 'source' ? undefined : value));
}

function tried(
  members: readonly FamilyMember[],
  recipes: readonly Recipe[],
  needle: Needle,
  pressure: number | undefined,
): FamilyNeedle {
  const outcomes = members.map((member, i) => fitted(member, recipes[i]!, pressure));
  return {
    name: needleName(needle),
    needle,
    members: outcomes.map(outcome => ('because' in outcome ? null : outcome)),
    because: outcomes.flatMap(outcome => ('because' in outcome ? [outcome.because] : [])),
    findings: outcomes.map(outcome => ('because' in outcome ? outcome.findings : [])),
  };
}

interface Unfit {
  readonly because: string;
  readonly findings: readonly Finding[];
}

function fitted(member: FamilyMember, recipe: Recipe, pressure: number | undefined): FittedMember | Unfit {
  const name = recipe.name ?? member.file;
  const blocked = roomProblem(recipe);
  if (blocked !== null) return { because: `${name}: ${blocked}`, findings: [] };
  const { result: settings, findings } = possibleSettings(recipe, pressure === undefined ? {} : { pressure });
  if (settings === null) {
    const error = findings.find(({ severity }) => severity === 'error');
    return { because: `${name}: ${error?.message ?? 'it cannot be computed'}`, findings };
  }
  const { possible, spread } = settings;
  if (possible.length === 0) {
    const none = impossible(settings.point, settings.aim.aim, settings.grid);
    return { because: `${name}: ${none.message}`, findings: [none] };
  }
  const pairs = new Map(possible.map(pair => [pressureKey(pair.pressure), pair]));
  let programs: SetpointPrograms | null | undefined;
  return {
    ...{ member, recipe, settings, pairs },
    programs: () => {
      // a program near the steadiest setting is likely to be asked for first
      const steadiest = possible.reduce((a, b) => (spread.relative(b) < spread.relative(a) ? b : a));
      if (programs === undefined) programs = setpointPrograms(recipe, {}, steadiest.pressure);
      return programs;
    },
  };
}

/** Why a needle does not get to its seat, or null. */
function roomProblem(recipe: Recipe): string | null {
  const book = cavityBook(recipe).result;
  const room = book === null ? null : needleRoom(recipe.needle, book);
  if (room === null) return null;
  if (room.wedged !== null) {
    const { behindTip, outside, cavity } = room.wedged;
    return `it wedges ${inWords(behindTip, 'mm')} behind its tip, ${inWords(outside, 'mm')} thick in a cavity of ${inWords(cavity, 'mm')}`;
  }
  if (room.needed <= room.exposed * (1 + 1e-9)) return null;
  return `it stands out by ${inWords(room.exposed, 'mm')}, and ${inWords(room.needed, 'mm')} are needed to the seat`;
}
