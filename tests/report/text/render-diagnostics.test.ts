import { describe, expect, it } from 'vitest';
import type { Diagnostic } from '../../../src/diagnostics/finding.ts';
import { countText, renderDiagnostics } from '../../../src/report/text/render-diagnostics.ts';
import { styleOf } from '../../../src/report/words/style.ts';

const view = { style: styleOf(0), columns: 80 };

function diagnostic(over: Partial<Diagnostic>): Diagnostic {
  return {
    code: 'unit-mismatch',
    severity: 'error',
    message: '"12 mm" is not a pressure',
    file: 'a.yaml',
    line: 12,
    column: 13,
    end_line: 12,
    end_column: 18,
    path: 'settings.pressure',
    help: null,
    ...over,
  };
}

describe('findings as text', () => {
  it('show place, severity, message, code, the line with the value underlined, and the help', () => {
    const text = renderDiagnostics(
      [diagnostic({ help: 'write kPa, bar or psi' })],
      view,
      () => '  pressure: 12 mm # x',
    );
    expect(text.split('\n')).toEqual([
      'a.yaml:12:13: error: "12 mm" is not a pressure [unit-mismatch]',
      '    12 |   pressure: 12 mm # x',
      '       |             ^^^^^',
      '    help: write kPa, bar or psi',
      '',
    ]);
  });

  it('are broken at words on a terminal, and stay on one line in a file and a pipe', () => {
    const message = 'the shot is 0.09361 µL, '.repeat(8).trim();
    const help = 'Take the setting that `dwellbook setpoint` finds, or correct what has changed since then.';
    const long = diagnostic({ message, help, file: 'a/very/long/name/of/a/file/that/goes/on/and/on.yaml' });
    const lines = renderDiagnostics([long], { ...view, wraps: true }, () => null)
      .trimEnd()
      .split('\n');
    expect(Math.max(...lines.map(line => line.length))).toBeLessThanOrEqual(80);
    expect(lines.length).toBeGreaterThan(4);
    const [plain] = renderDiagnostics([long], view, () => null).split('\n');
    expect(plain).toContain(`${message} [unit-mismatch]`);
    // Nothing but the breaks is other than on one line.
    const joined = lines.map(line => line.trim()).join(' ');
    expect(joined).toBe(`${plain} help: ${help}`);
    const word = diagnostic({ message: 'x'.repeat(200) });
    expect(renderDiagnostics([word], { ...view, wraps: true }, () => null)).toContain('x'.repeat(200));
  });

  it('underline to the end of the line where the value goes on below it', () => {
    const text = renderDiagnostics([diagnostic({ column: 3, end_line: 13 })], view, () => '  abcd');
    expect(text.split('\n')[2]).toBe('       |   ^^^^');
  });

  it('cut a long line around the value', () => {
    const text = renderDiagnostics([diagnostic({ column: 301, end_column: 306 })], view, () => {
      return `${'x'.repeat(300)}VALUE${'y'.repeat(300)}`;
    });
    const [, source = '', carets = ''] = text.split('\n');
    expect(source.length).toBeLessThanOrEqual(80);
    expect(source.slice(carets.indexOf('^'), carets.lastIndexOf('^') + 1)).toBe('VALUE');
  });

  it('survive a place past the end of the line', () => {
    const text = renderDiagnostics([diagnostic({ column: 50, end_column: 50 })], view, () => 'ab');
    expect(text.split('\n')[2]).toBe('       |   ^');
  });

  it('stand in order of place', () => {
    const text = renderDiagnostics(
      [diagnostic({ line: 20 }), diagnostic({ line: 3 }), diagnostic({ file: 'A.yaml', line: 99 })],
      view,
    );
    expect(text.match(/^[^:]+:\d+/gm)).toEqual(['A.yaml:99', 'a.yaml:3', 'a.yaml:20']);
  });

  it.each<[Partial<Diagnostic>[], string]>([
    [[], 'nothing to report'],
    [[{}], '1 error'],
    [[{}, {}, { severity: 'warning' }], '2 errors, 1 warning'],
    [[{ severity: 'warning' }, { severity: 'warning' }], '2 warnings'],
  ])('%j are counted as %s', (overs, text) => {
    expect(countText(overs.map(diagnostic))).toBe(text);
  });
});
