import { DIMENSIONLESS, type Dimension, dimensionText, sameDimension, timesPower } from './dimension.ts';
import { type Engine, loadedEngine, type TreeNode } from './engine.ts';
import { ENGINE_NEEDED, type Problem, problem, quoted } from './problem.ts';
import { normaliseUnit, type Unit } from './unit-table.ts';

/** Number with its dimension [SI]. */
export interface Measured {
  readonly ok: true;
  readonly value: number;
  readonly dimension: Dimension;
}

/** Bounds on what somebody may write in one field; far above any use, far below any harm. */
const LIMITS = { characters: 300, tokens: 120, depth: 24, exponent: 12 };

const NUMBER = /^(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?/;
// One unit word, with its integer power and further factors joined by dots: `Pa.s`, `mm^3`, `s^-1`.
const FACTOR = String.raw`[A-Za-z\u00b0\u00b5\u03bc\u2126]+[A-Za-z0-9]*(?:\^-?\d+)?[\u00b2\u00b3]?`;
const WORD = new RegExp(String.raw`^(?:${FACTOR}(?:[.\u00b7]${FACTOR})*|%)`);

/** Thrown inside the evaluator, caught at its door. */
class Refused extends Error {}

/**
 * Value of an arithmetic expression with units, from its parse tree: numbers, units, + − * / ^, parentheses, sqrt and pi.
 * `unitOf` resolves one unit word.
 */
export function evaluateExpression(text: string, unitOf: (name: string) => Unit | Problem): Measured | Problem {
  const engine = loadedEngine();
  if (engine === null) return ENGINE_NEEDED;
  const shown = quoted(text);
  if (text.length > LIMITS.characters) {
    return problem('expression-invalid', `expression of ${text.length} characters; ${LIMITS.characters} at most`);
  }
  const words: Measured[] = [];
  try {
    const tree = parseTree(
      engine,
      rewritten(text, name => addWord(words, name, unitOf)),
    );
    const found = measure(tree, words, 0);
    return { ok: true, ...found };
  } catch (cause) {
    if (cause instanceof UnitRefused) return cause.problem;
    if (!(cause instanceof Refused)) throw cause;
    return problem(
      'expression-invalid',
      `${shown} cannot be worked out: ${cause.message}`,
      'numbers, units, + - * / ^, parentheses, sqrt and pi will do',
    );
  }
}

class UnitRefused extends Error {
  constructor(readonly problem: Problem) {
    super(problem.message);
  }
}

function addWord(words: Measured[], name: string, unitOf: (name: string) => Unit | Problem): number {
  const unit = unitOf(normaliseUnit(name));
  if ('ok' in unit) throw new UnitRefused(unit);
  if (unit.offset !== 0) throw new Refused(`${name} has a shifted zero; use K`);
  words.push({ ok: true, value: unit.factor / unit.divisor, dimension: unit.dimension });
  return words.length - 1;
}

/** The text with every unit word replaced by `U0`, `U1`, …, so that the parser sees no name of its own language. */
function rewritten(text: string, word: (name: string) => number): string {
  let rest = text;
  let out = '';
  for (let count = 0; rest !== ''; count++) {
    if (count > LIMITS.tokens) throw new Refused(`more than ${LIMITS.tokens} numbers, units and signs`);
    const number = NUMBER.exec(rest)?.[0];
    const name = number === undefined ? WORD.exec(rest)?.[0] : undefined;
    const one = number ?? name ?? rest[0]!;
    if (number !== undefined) {
      if (/^[A-Za-z]/.test(rest.slice(one.length)) && /^0[xXbBoO]/.test(rest))
        throw new Refused('decimal numbers only');
      if (/^[.,\d]/.test(rest.slice(one.length))) throw new Refused(`${quoted(rest)} is no number`);
      out += number;
    } else if (name === 'sqrt' || name === 'pi') out += ` ${name} `;
    else if (name !== undefined) out += ` U${word(name)} `;
    else if (/[-+*/^()\s]/.test(one)) out += one;
    else if (one === '\u2212') out += '-';
    else throw new Refused(`${quoted(one)} has no place in it`);
    rest = rest.slice(one.length);
  }
  return out;
}

function parseTree(engine: Engine, text: string): TreeNode {
  if (text.trim() === '') throw new Refused('there is nothing in it');
  try {
    return engine.parse(text);
  } catch {
    throw new Refused('check its parentheses and signs');
  }
}

type Value = { readonly value: number; readonly dimension: Dimension };

function measure(node: TreeNode, words: readonly Value[], depth: number): Value {
  if (depth > LIMITS.depth * 4) throw new Refused('it is nested too deeply');
  const found = nodeValue(node, words, depth + 1);
  if (!Number.isFinite(found.value)) throw new Refused('its value is not a finite number');
  return found;
}

function nodeValue(node: TreeNode, words: readonly Value[], depth: number): Value {
  switch (node.type) {
    case 'ConstantNode':
      if (typeof node.value !== 'number') throw new Refused('only numbers will do');
      return { value: node.value, dimension: DIMENSIONLESS };
    case 'SymbolNode': {
      if (node.name === 'pi') return { value: Math.PI, dimension: DIMENSIONLESS };
      const word = words[Number(/^U(\d+)$/.exec(node.name ?? '')?.[1] ?? -1)];
      if (word === undefined) throw new Refused(`${quoted(node.name ?? '')} has no place in it`);
      return word;
    }
    case 'ParenthesisNode':
      return measure(node.content!, words, depth);
    case 'FunctionNode':
      return squareRoot(node, words, depth);
    case 'OperatorNode':
      return operation(
        node.op ?? '',
        (node.args ?? []).map(a => measure(a, words, depth)),
      );
    default:
      throw new Refused('only arithmetic will do');
  }
}

function squareRoot(node: TreeNode, words: readonly Value[], depth: number): Value {
  const name = typeof node.fn === 'string' ? node.fn : node.fn?.name;
  if (name !== 'sqrt' || node.args?.length !== 1) throw new Refused('the only function is sqrt(…)');
  const inner = measure(node.args[0]!, words, depth);
  return { value: Math.sqrt(inner.value), dimension: timesPower(DIMENSIONLESS, inner.dimension, 0.5) };
}

function operation(op: string, args: readonly Value[]): Value {
  const [a, b] = args;
  if (a === undefined) throw new Refused('a sign stands alone');
  if (b === undefined) {
    if (op === '-') return { value: -a.value, dimension: a.dimension };
    if (op === '+') return a;
    throw new Refused(`"${op}" has no place in it`);
  }
  switch (op) {
    case '+':
    case '-':
      if (!sameDimension(a.dimension, b.dimension)) {
        throw new Refused(`${dimensionText(a.dimension)} and ${dimensionText(b.dimension)} do not add up`);
      }
      return { value: op === '+' ? a.value + b.value : a.value - b.value, dimension: a.dimension };
    case '*':
      return { value: a.value * b.value, dimension: timesPower(a.dimension, b.dimension, 1) };
    case '/':
      return { value: a.value / b.value, dimension: timesPower(a.dimension, b.dimension, -1) };
    case '^':
      return raised(a, b);
    default:
      throw new Refused(`"${op}" has no place in it`);
  }
}

function raised(base: Value, exponent: Value): Value {
  if (!sameDimension(exponent.dimension, DIMENSIONLESS)) throw new Refused('an exponent has no unit');
  if (Math.abs(exponent.value) > LIMITS.exponent)
    throw new Refused(`exponents from -${LIMITS.exponent} to ${LIMITS.exponent}`);
  return {
    value: base.value ** exponent.value,
    dimension: timesPower(DIMENSIONLESS, base.dimension, exponent.value),
  };
}
