import type { Paper } from '../../analysis/dot/gauge-grid.ts';
import type { FamilyResult } from '../../analysis/family/family.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, Page, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import {
  artifact,
  blanks,
  type Column,
  heading,
  RULE,
  rule,
  TYPE,
  table,
  text,
  textBlock,
} from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { paperSize, SHEET_MARGIN, sheetEnd } from '../pdf/row-sheet.ts';
import { type DisplayUnit, type LengthUnit, pressureNumber } from '../words/display-units.ts';
import { NONE, numberText, plain, settingText } from '../words/number-text.ts';
import { familyScalePages, memberName } from './family-scale.ts';

export interface FamilyCardInput extends SheetOrigin {
  readonly family: FamilyResult;
  /** Unit in which the station shows its pressure. */
  readonly pressure: DisplayUnit;
  /** `in` gives diameters in inch beside mm. */
  readonly length: LengthUnit;
  readonly paper: Paper;
  readonly scaleX: number;
  readonly scaleY: number;
}

/** Bytes of the matrix card as a PDF. The same input gives the same bytes. */
export async function familyPdf(input: FamilyCardInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(familyCard(input, textMeasure(fonts)), fonts);
}

/** The matrix card as plain data: what all members share, each one's program, the dwell by member and age; then the gauge scale. */
export function familyCard(input: FamilyCardInput, measure: TextMeasure): SheetDocument {
  const groups = pagesOfMembers(input);
  const gauge = input.family.gauge;
  const scales = gauge === null ? [] : familyScalePages({ ...input, gauge }, measure);
  const count = groups.length + scales.length;
  const cards = groups.map((group, i) => memberPage(input, group, `Page ${i + 1} of ${count}`, measure));
  const pages = [...cards, ...scales.map((make, i) => make(`Page ${groups.length + i + 1} of ${count}`))];
  return sheetDocument(input, {
    title: `Family card: ${plainText(input.name)}`,
    subject: 'One needle and pressure for several connectors: programs, dwell by age, and a dot gauge in microlitres',
    pages,
  });
}

const TOP = 68; // head of the programs [mm]
const LEADING = 5.4;
/** Ages that a table of dwells has columns for. */
const MOST_AGES = 11;
/** What stands below the tables [mm]. */
const REST = 110;

/** Numbers of the members on each page: two tables of them have to fit. */
function pagesOfMembers({ family, paper }: FamilyCardInput): number[][] {
  const rows = Math.floor((paperSize(paper).height - TOP - REST) / LEADING);
  const pages: number[][] = [[]];
  let used = 0;
  for (const [i, { program }] of family.members.entries()) {
    const needs = 1 + Math.max(1, program?.stages.length ?? 1);
    if (used + needs > rows && used > 0) {
      pages.push([]);
      used = 0;
    }
    pages.at(-1)!.push(i);
    used += needs;
  }
  return pages;
}

function memberPage(input: FamilyCardInput, group: readonly number[], at: string, measure: TextMeasure): Page {
  const page = paperSize(input.paper);
  const inner = page.width - 2 * SHEET_MARGIN;
  const programs = programRows(input.family, group);
  const matrixTop = TOP + 17 + programs.length * LEADING;
  const matrix = matrixTable(input.family, group, inner);
  const workTop = matrixTop + 13 + matrix.rows.length * LEADING;
  const box = { x: SHEET_MARGIN, leading: LEADING } as const;
  return {
    ...page,
    blocks: [
      ...head(input, page.width, measure),
      heading(SHEET_MARGIN, TOP - 5.4, 'Programs, each from a fresh syringe'),
      table({ ...box, y: TOP, columns: programColumns(inner), rows: programs }, measure),
      heading(
        SHEET_MARGIN,
        matrixTop - 5.4,
        'Dwell s by minutes after mixing, for a syringe that goes from one member to the next',
      ),
      table({ ...box, y: matrixTop, columns: matrix.columns, rows: matrix.rows }, measure),
      ...work({ top: workTop, inner }, measure),
      ...sheetEnd({ page, made: madeText(input), at }, measure),
    ],
  };
}

function head({ family, name, pressure }: FamilyCardInput, width: number, measure: TextMeasure): Block[] {
  const inner = width - 2 * SHEET_MARGIN;
  const box = { x: SHEET_MARGIN, width: inner, leading: 4.6 } as const;
  const part = (label: string, words: string, x: number): Block => ({
    tag: 'P',
    marks: [text(x, 39, label, TYPE.label), text(x, 47.6, words, 20, { font: 'semibold' })],
  });
  return [
    heading(SHEET_MARGIN, 19, 'Family card', 'H1'),
    textBlock(name, { ...box, y: 25.6, font: 'medium', size: 11, lines: 2 }, measure),
    artifact(rule(SHEET_MARGIN, width - SHEET_MARGIN, 32.4, RULE.strong)),
    part('Pressure for all', `${pressureNumber(family.pressure_kPa, pressure)} ${pressure.name}`, SHEET_MARGIN),
    part('Needle for all', family.needle, SHEET_MARGIN + inner * 0.32),
    textBlock(
      'Computed, not released: prove every member on scrap connectors first.',
      { ...box, y: 54, font: 'regular', size: TYPE.body, lines: 1 },
      measure,
    ),
  ];
}

function programColumns(inner: number): Column[] {
  const rest = inner - 122;
  return [
    { title: 'Member', width: rest },
    { title: 'Aim µL', width: 17, align: 'right' },
    { title: 'From shot', width: 18, align: 'right' },
    { title: 'First dwell s', width: 22, align: 'right' },
    { title: 'Add s', width: 16, align: 'right' },
    { title: 'Every presses', width: 23, align: 'right' },
    { title: 'Last shot, min', width: 26, align: 'right' },
  ];
}

function programRows({ members }: FamilyResult, group: readonly number[]): string[][] {
  return group.flatMap(i => {
    const member = members[i]!;
    const name = memberName(members, i);
    const aim = numberText(member.aim_uL);
    if (member.program === null) return [[name, aim, NONE, settingText(member.dwell_s), NONE, NONE, NONE]];
    const end = member.end === null ? NONE : `${member.end.shot}, ${plain(member.end.age_min)}`;
    return member.program.stages.map(({ from_shot, first_dwell_s, add_s, every }, k) => [
      k === 0 ? name : '',
      k === 0 ? aim : '',
      String(from_shot),
      settingText(first_dwell_s),
      settingText(add_s),
      add_s === 0 ? NONE : String(every),
      k === 0 ? end : '',
    ]);
  });
}

/** As many ages as there is room for, evenly apart. */
function matrixTable({ members, matrix }: FamilyResult, group: readonly number[], inner: number) {
  const stride = Math.max(1, Math.ceil(matrix.ages_min.length / MOST_AGES));
  const shown = matrix.ages_min.flatMap((_, k) => (k % stride === 0 ? [k] : []));
  const width = 12;
  const columns: Column[] = [
    { title: 'Member', width: inner - shown.length * width },
    ...shown.map(k => ({ title: plain(matrix.ages_min[k]!), width, align: 'right' as const })),
  ];
  const rows = group.map(i => [memberName(members, i), ...shown.map(k => settingText(matrix.dwell_s[i]![k] ?? null))]);
  return { columns, rows };
}

const WORK = [
  'Needle, pressure and syringe stay. Finish the member in work, and stand the syringe down with the air off.',
  'Set the program of the next member. Its first dwell is the one of the table above at the age of the resin now; a dash there means stop: mix anew.',
  'Prime as the recipe of that member says, then lay its first-piece dots on the gauge: their edge ends between its marks.',
  'Write member, time, age and dots into the check log, under the recipe of that member. A syringe that one member rejects serves no other.',
];

function work({ top, inner }: { top: number; inner: number }, measure: TextMeasure): Block[] {
  const box = { x: SHEET_MARGIN + 5, width: inner - 5, leading: 3.6, font: 'regular', size: TYPE.body } as const;
  let y = top + 5;
  const steps = WORK.map((words, i): Block => {
    const block = textBlock(words, { ...box, y }, measure);
    const lines = block.marks?.length ?? 1;
    const marks = [text(SHEET_MARGIN, y, `${i + 1}.`, TYPE.body, { font: 'medium' }), ...(block.marks ?? [])];
    y += lines * 3.6 + 1.2;
    return { tag: 'P', marks };
  });
  return [
    heading(SHEET_MARGIN, top, 'From one member to the next'),
    ...steps,
    blanks(
      [
        { label: 'Released by', share: 4 },
        { label: 'Date', share: 3 },
        { label: 'Station', share: 3 },
        { label: 'Checked by', share: 4 },
      ],
      { x: SHEET_MARGIN, y: y + 6, width: inner },
      measure,
    ),
  ];
}
