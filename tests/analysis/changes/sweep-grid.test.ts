import { describe, expect, it } from 'vitest';
import { type GridAxis, gridAxis, gridPoint, gridSize } from '../../../src/analysis/changes/sweep-grid.ts';

const axis = (text: string) => gridAxis(text) as GridAxis;
const numbers = (text: string) => axis(text).values.map(({ number }) => number);
const texts = (text: string) => axis(text).values.map(({ text }) => text);

describe('gridAxis', () => {
  it('steps count the values, both ends among them', () => {
    expect(numbers('a.b=1 Pa.s:3 Pa.s:5')).toEqual([1, 1.5, 2, 2.5, 3]);
    expect(texts('a.b=1 Pa.s:3 Pa.s:3')).toEqual(['1 Pa.s', '2 Pa.s', '3 Pa.s']);
    expect(axis('a.b=1 Pa.s:3 Pa.s:3')).toMatchObject({ path: 'a.b', unit: 'Pa.s', spacing: 'linear' });
  });

  it('may go down, below zero, and leave the unit to the other end', () => {
    expect(texts('t=30:18 degC:3')).toEqual(['30 degC', '24 degC', '18 degC']);
    expect(texts('t=30 degC:18:2')).toEqual(['30 degC', '18 degC']);
    expect(numbers('t=-10:10 degC:3')).toEqual([-10, 0, 10]);
    expect(texts('n=1:2:3')).toEqual(['1', '1.5', '2']);
  });

  it('log steps have one ratio', () => {
    expect(numbers('a=1 Pa.s:1000 Pa.s:4:log')).toEqual([1, 10, 100, 1000]);
    expect(numbers('a=8:2:3:log')).toEqual([8, 4, 2]);
  });

  it('binary rounding of the steps does not show', () => {
    expect(texts('d=0.1:0.4 s:4')).toEqual(['0.1 s', '0.2 s', '0.3 s', '0.4 s']);
  });

  it('lists: numbers of one unit, or words; brackets and quotes keep their commas', () => {
    expect(axis('needle.gauge=20,21, 22')).toMatchObject({ spacing: 'list', unit: null });
    expect(numbers('needle.gauge=20,21, 22')).toEqual([20, 21, 22]);
    expect(axis('p=100 kPa,200 kPa')).toMatchObject({ unit: 'kPa' });
    expect(axis('p=100 kPa,20 psi')).toMatchObject({ unit: null });
    expect(numbers('p=100 kPa,20 psi')).toEqual([null, null]);
    expect(texts('w=regular,thin')).toEqual(['regular', 'thin']);
    expect(texts('r={model: newtonian, viscosity: 2 Pa.s},{model: x}')).toEqual([
      '{model: newtonian, viscosity: 2 Pa.s}',
      '{model: x}',
    ]);
    expect(texts('d=[1 mm, 2 mm],"a,b"')).toEqual(['[1 mm, 2 mm]', '"a,b"']);
    expect(texts('d=1 mm')).toEqual(['1 mm']);
  });

  it.each([
    ['a', /write path=from:to:steps/],
    ['=1:2:3', /write path=from:to:steps/],
    ['a=', /write path=from:to:steps/],
    ['a=1:2', /a range is from:to:steps/],
    ['a=1:2:3:log:4', /a range is from:to:steps/],
    ['a=1:2:3:cubic', /"cubic" is no spacing/],
    ['a=1:2:1', /"1" is no number of steps/],
    ['a=1:2:2.5', /"2.5" is no number of steps/],
    ['a=1:2:99999999', /more than 1000000/],
    ['a=x:2:3', /"x" is no number/],
    ['a=1:y:3', /"y" is no number/],
    ['a=1 kPa:2 psi:3', /one end is in kPa, the other in psi/],
    ['a=2:2:3', /both ends are 2/],
    ['a=0:2:3:log', /above zero/],
    ['a=1,,2', /a value of the list is empty/],
  ])('%s: says what is wrong', (text, message) => {
    expect(gridAxis(text)).toMatch(message);
  });
});

describe('gridPoint', () => {
  it('runs through every combination once, the last axis fastest', () => {
    const axes = [axis('a=1,2'), axis('b=x,y,z')];
    expect(gridSize(axes)).toBe(6);
    const all = Array.from({ length: 6 }, (_, i) =>
      gridPoint(axes, i)
        .map(({ text }) => text)
        .join(''),
    );
    expect(all).toEqual(['1x', '1y', '1z', '2x', '2y', '2z']);
  });
});
