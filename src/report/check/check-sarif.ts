import type { Location, Log, Notification, ReportingDescriptor, Result } from 'sarif';
import type { CodeText } from '../../diagnostics/codes/coded.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { jsonText } from '../words/document.ts';
import type { CheckInput, SilencedDiagnostic } from './check-input.ts';
import { distinctOfRecipes, type OfRecipes } from './distinct-diagnostics.ts';

/** GitHub takes this many results a run, and turns a larger file away whole. */
const MOST_RESULTS = 25_000;

const SCHEMA = 'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json';

/** GitHub shows this many further places of a result. */
const MOST_RELATED = 100;

type Reasoned = Omit<SilencedDiagnostic, 'reason'> & { readonly reason: string | null };
type Found = OfRecipes<Reasoned>;

/**
 * The findings as one SARIF 2.1.0 run: rules with their help, places relative to the root of the repository, silenced
 * findings as suppressed ones, fingerprints that stay when lines move. Above `MOST_RESULTS` warnings go before errors,
 * silenced ones first of all, and a notification says how many were left out.
 * Source: OASIS, Static Analysis Results Interchange Format (SARIF) 2.1.0.
 */
export function checkSarif({ checked, codes, pathFromRoot, version }: CheckInput): string {
  const all = distinctOfRecipes(checked, ({ diagnostics, silenced }): Reasoned[] => [
    ...diagnostics.map(d => ({ ...d, reason: null })),
    ...silenced,
  ]);
  const kept = mostTelling(all);
  const ids = [...new Set(kept.map(({ code }) => code))].sort();
  const anySilenced = kept.some(({ reason }) => reason !== null);
  const fingerprints = new Map<string, number>();
  const results = kept.map(found =>
    resultOf(found, {
      ruleIndex: ids.indexOf(found.code),
      uri: uriOf(pathFromRoot(found.file)),
      recipes: found.recipes.map(recipe => uriOf(pathFromRoot(recipe))),
      judged: codes[found.code]?.silenceable ?? false,
      anySilenced,
      fingerprints,
    }),
  );
  const driver = { name: 'dwellbook', version, rules: ids.map(id => ruleOf(id, codes[id])) };
  const notifications = leftOutNotes(all.length - kept.length);
  const invocation = {
    executionSuccessful: true,
    ...(notifications.length > 0 && { toolExecutionNotifications: notifications }),
  };
  const log: Log = {
    $schema: SCHEMA,
    version: '2.1.0',
    runs: [{ tool: { driver }, invocations: [invocation], columnKind: 'utf16CodeUnits', results }],
  };
  return jsonText(log);
}

/** In order of place; where there are too many, errors stay before warnings and these before silenced findings. */
function mostTelling(all: readonly Found[]): readonly Found[] {
  if (all.length <= MOST_RESULTS) return all;
  const rank = ({ severity, reason }: Found) => (reason !== null ? 2 : severity === 'warning' ? 1 : 0);
  const ranked = all.map((found, index) => ({ found, index })).sort((a, b) => rank(a.found) - rank(b.found));
  const kept = ranked.slice(0, MOST_RESULTS).sort((a, b) => a.index - b.index);
  return kept.map(({ found }) => found);
}

function leftOutNotes(count: number): Notification[] {
  if (count === 0) return [];
  const text = `${counted(count, 'more finding')} left out: a run holds ${MOST_RESULTS} results`;
  return [{ level: 'warning', message: { text } }];
}

function ruleOf(id: string, text: CodeText | undefined): ReportingDescriptor {
  if (text === undefined) return { id };
  const { severity, title, why, remedy } = text;
  return {
    id,
    shortDescription: { text: title },
    fullDescription: { text: why },
    help: { text: `${why}\n\n${remedy}`, markdown: `${why}\n\n**What to do:** ${remedy}` },
    defaultConfiguration: { level: severity },
    properties: { tags: ['recipe'], 'problem.severity': severity },
  };
}

interface Surroundings {
  readonly ruleIndex: number;
  readonly uri: string;
  /** Those it was found with, where it stands in a part. */
  readonly recipes: readonly string[];
  /** It is about what a recipe makes of the part. */
  readonly judged: boolean;
  readonly anySilenced: boolean;
  /** How often each fingerprint was given out so far. */
  readonly fingerprints: Map<string, number>;
}

function resultOf(found: Found, at: Surroundings): Result {
  const help = found.help === null ? '' : ` (${found.help})`;
  const region = {
    startLine: found.line,
    startColumn: found.column,
    endLine: found.end_line,
    endColumn: found.end_column,
  };
  return {
    ruleId: found.code,
    ruleIndex: at.ruleIndex,
    level: found.severity,
    message: { text: `${found.message}${help}` },
    locations: [{ physicalLocation: { artifactLocation: { uri: at.uri }, region } }],
    ...(at.recipes.length > 0 && { relatedLocations: at.recipes.slice(0, MOST_RELATED).map(relatedTo) }),
    partialFingerprints: { 'dwellbookFinding/v1': fingerprint(found, at) },
    // all results of a run have suppressions, or none has
    ...(at.anySilenced && {
      suppressions: found.reason === null ? [] : [{ kind: 'inSource', justification: found.reason }],
    }),
    ...(found.path !== null && { properties: { path: found.path } }),
  };
}

function relatedTo(uri: string, id: number): Location {
  return { id, physicalLocation: { artifactLocation: { uri } }, message: { text: 'a recipe it was found with' } };
}

/**
 * Code, file and key: the same after lines were added above, and after the value changed but stayed wrong. What a recipe
 * makes of a part has the recipe in it too, so that the one of another recipe may come and go.
 */
function fingerprint({ code, path }: Found, { uri, recipes, judged, fingerprints }: Surroundings): string {
  const recipe = judged ? (recipes[0] ?? '') : '';
  const name = `${code} ${uri} ${path ?? ''} ${recipe}`.trimEnd();
  const count = (fingerprints.get(name) ?? 0) + 1;
  fingerprints.set(name, count);
  return count === 1 ? name : `${name} ${count}`;
}

/** A path as a URI: relative, or `file:` where it is absolute. */
function uriOf(path: string): string {
  const encoded = path.split('/').map(encodeURIComponent).join('/');
  if (path.startsWith('/')) return `file://${encoded}`;
  return encoded.includes('%3A') || path === '' ? `./${encoded}` : encoded;
}
