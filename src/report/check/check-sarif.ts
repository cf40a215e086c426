import type { Artifact, Location, Log, Notification, ReportingDescriptor, Result } from 'sarif';
import type { CodeText } from '../../diagnostics/codes/coded.ts';
import { OVERRIDE_FILE } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { jsonText } from '../words/document.ts';
import { type CheckInput, type SilencedDiagnostic, sourceLineOf } from './check-input.ts';
import { distinctOfRecipes, type FoundWith, type OfRecipes } from './distinct-diagnostics.ts';

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
      recipes: found.recipes.map(({ file, says }) => ({ file: uriOf(pathFromRoot(file)), says })),
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
    runs: [
      {
        tool: { driver },
        invocations: [invocation],
        ...(kept.some(({ file }) => file === OVERRIDE_FILE) && { artifacts: [optionsAsFile(kept, checked)] }),
        columnKind: 'utf16CodeUnits',
        results,
      },
    ],
  };
  return jsonText(log);
}

/** The options that findings point into, a line each: no file has them, so the log does. */
function optionsAsFile(kept: readonly Found[], checked: CheckInput['checked']): Artifact {
  const sourceLine = sourceLineOf(checked);
  const last = Math.max(...kept.map(({ file, line }) => (file === OVERRIDE_FILE ? line : 0)));
  const lines = Array.from({ length: last }, (_, i) => sourceLine(OVERRIDE_FILE, i + 1) ?? '');
  return { location: { uri: uriOf(OVERRIDE_FILE) }, contents: { text: `${lines.join('\n')}\n` } };
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
  readonly recipes: readonly FoundWith[];
  readonly anySilenced: boolean;
  /** How often each fingerprint was given out so far. */
  readonly fingerprints: Map<string, number>;
}

function resultOf(found: Found, at: Surroundings): Result {
  const help = found.help === null ? '' : ` (${found.help})`;
  const moved = found.effect !== undefined && at.recipes.length === 0 ? `; moved: ${found.effect}` : '';
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
    message: { text: `${found.message}${moved}${help}` },
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

function relatedTo({ file, says }: FoundWith, id: number): Location {
  const text = says ?? 'a recipe it was found with';
  return { id, physicalLocation: { artifactLocation: { uri: file } }, message: { text } };
}

/**
 * Code, file and key: the same after lines were added above, and after the value changed but stayed wrong. What one recipe
 * silences of a part has the recipe in it too, for to others it is loud.
 */
function fingerprint({ code, path, reason }: Found, { uri, recipes, fingerprints }: Surroundings): string {
  const recipe = reason === null ? '' : (recipes[0]?.file ?? '');
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
