import { didYouMean } from '../diagnostics/suggestion.ts';
import { sameDimension } from './dimension.ts';
import { loadedEngine } from './engine.ts';
import { evaluateExpression } from './expression.ts';
import { ENGINE_NEEDED, type Problem, problem, quoted } from './problem.ts';
import { kindFacts, type QuantityKind } from './quantity-kind.ts';
import { normaliseUnit, tableUnit, tableUnitNames, type Unit } from './unit-table.ts';

/**
 * The unit of a text: from the table, else from the engine, which knows more names and reads products, quotients and
 * powers. `kind` only steers the suggestion for a name that nobody knows.
 */
export function findUnit(text: string, kind: QuantityKind): Unit | Problem {
  const name = normaliseUnit(text);
  const known = tableUnit(name);
  if (known !== null) return known;
  if (loadedEngine() === null) return ENGINE_NEEDED;
  if (/^[A-Za-z%]+$/.test(name)) return singleUnit(name, text, kind);
  const slash = withoutParentheses(name);
  if (/\/[^/]*\./.test(slash)) {
    return problem(
      'unit-ambiguous',
      `${quoted(text)} can be read in two ways`,
      `write the divisor in parentheses: ${name.replace(/\/([^/()]*)$/, '/($1)')}`,
    );
  }
  if (!/^(1\/)?[A-Za-z(%][A-Za-z0-9.^/()%-]*$/.test(name) || hasLooseNumber(name)) return unknown(text, kind);
  const found = evaluateExpression(productSigns(name), single => singleOrTable(single, text, kind));
  if (!found.ok) return found.code === 'unit-unknown' || found.code === 'engine-needed' ? found : unknown(text, kind);
  return { factor: found.value, divisor: 1, offset: 0, dimension: found.dimension };
}

/** Dots between factors become the product sign, except those inside one unit word, which `evaluateExpression` reads itself. */
function productSigns(name: string): string {
  return name.replace(/\.(?=[A-Za-z(])/g, '*');
}

/** A number that is neither an exponent nor the one of `1/s`. */
function hasLooseNumber(name: string): boolean {
  const rest = name
    .replace(/^1\//, '')
    .replace(/[A-Za-z][A-Za-z0-9]*/g, '')
    .replace(/\^-?\d+/g, '');
  return /\d/.test(rest);
}

function withoutParentheses(name: string): string {
  return name.replace(/\([^()]*\)/g, '');
}

function singleOrTable(name: string, text: string, kind: QuantityKind): Unit | Problem {
  const [, base, power] = /^(.*?)(?:\^(-?\d+))?$/.exec(name) ?? [];
  if (base?.includes('.') === true) return findUnit(name, kind);
  const unit = tableUnit(name) ?? tableUnit(base ?? '') ?? singleUnit(base ?? '', text, kind);
  if ('ok' in unit || power === undefined || tableUnit(name) !== null) return unit;
  const exponent = Number(power);
  if (Math.abs(exponent) > 6) return unknown(text, kind);
  return {
    factor: (unit.factor / unit.divisor) ** exponent,
    divisor: 1,
    offset: unit.offset,
    dimension: unit.dimension.map(e => e * exponent),
  };
}

function singleUnit(name: string, text: string, kind: QuantityKind): Unit | Problem {
  const known = loadedEngine()?.unit(name) ?? null;
  return known === null
    ? unknown(text, kind)
    : { factor: known.factor, divisor: 1, offset: 0, dimension: known.dimension };
}

function unknown(text: string, kind: QuantityKind): Problem {
  const { dimension, units, name } = kindFacts(kind);
  const fitting = tableUnitNames().filter(n => sameDimension(tableUnit(n)!.dimension, dimension));
  const near = didYouMean(normaliseUnit(text), [...units, ...fitting]);
  const others = units.length === 0 ? `${name} has no unit` : `units for ${name}: ${units.join(', ')}`;
  return problem(
    'unit-unknown',
    `${quoted(text.trim())} is not a known unit${near === null ? '' : `; ${near}`}`,
    others,
  );
}
