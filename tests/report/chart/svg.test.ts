import { expect, test } from 'vitest';
import { lineChart } from '../../../src/report/chart/line-chart.ts';
import { svgText } from '../../../src/report/chart/svg.ts';

const drawing = lineChart({
  title: 'Shots & "dots" <all>',
  x: { label: 'check' },
  y: { label: 'volume µL' },
  series: [
    {
      name: 'a',
      points: [
        [0, 1],
        [1, 2],
      ],
    },
    {
      name: 'b',
      points: [
        [0, 2],
        [1, 1],
      ],
    },
  ],
  bands: [{ axis: 'y', from: 1.2, to: 1.4 }],
});

/** Every tag closed in order, every text escaped: enough of XML to know that the file opens. */
function checkXml(text: string): string[] {
  const open: string[] = [];
  const names: string[] = [];
  const rest = text.replace(
    /<(\/?)([a-z]+)((?:\s+[a-zA-Z0-9-]+="[^"<]*")*)\s*(\/?)>/g,
    (_, close, name, _attributes, single) => {
      names.push(name);
      if (close === '/') expect(open.pop()).toBe(name);
      else if (single !== '/') open.push(name);
      return '';
    },
  );
  expect(open).toEqual([]);
  expect(rest).not.toMatch(/[<>]/);
  expect(rest.replace(/&(amp|lt|gt|quot);/g, '')).not.toContain('&');
  return names;
}

test('is well-formed XML of the drawing’s size in millimetres', () => {
  const text = svgText(drawing);
  const names = checkXml(text);
  expect(names.filter(n => n === 'svg')).toHaveLength(2);
  expect(text).toContain('width="170mm" height="105mm" viewBox="0 0 170 105"');
  expect(text).toContain('<title>Shots &amp; &quot;dots&quot; &lt;all&gt;</title>');
});

test('has one element a mark, so nothing is lost on the way from the drawing', () => {
  const names = checkXml(svgText(drawing));
  const elements = names.filter(n => ['text', 'line', 'ellipse', 'path', 'rect'].includes(n));
  const texts = drawing.marks.filter(m => m.kind === 'text').length;
  expect(elements).toHaveLength(drawing.marks.length + texts + 1); // texts open and close; one more is the paper
});

test('keeps control characters out, which XML cannot hold', () => {
  const text = svgText({ ...drawing, title: 'bell\u0007 and null\u0000' });
  expect(text).toContain('<title>bell  and null </title>');
});

test('is the same text for the same drawing', () => {
  expect(svgText(drawing)).toBe(svgText(structuredClone(drawing)));
});
