import { scanFinding } from '../../diagnostics/codes/scan-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { Paper } from '../dot/gauge-grid.ts';
import { darkSpots } from '../sheet/dark-spots.ts';
import { enlarged, findMarks } from '../sheet/find-marks.ts';
import { type FittedSheet, fitSheet } from '../sheet/fit-sheet.ts';
import { type Gray, reduced } from '../sheet/gray-picture.ts';
import { type FoundSheet, placeSheet } from '../sheet/place-sheet.ts';
import { type MeasuredRing, measuredRings, type RingName } from './measured-rings.ts';
import { type Density, type Doubtful, type PrintScale, printScale } from './print-scale.ts';
import { type OwnRecipe, sheetRecipeFindings } from './sheet-recipe.ts';

/** A picture, with the resolution that its file states. */
export interface ScanPicture extends Gray {
  readonly density: Density | null;
}

export interface ScanOptions {
  /** Pixels in an inch, in place of what the file states. */
  readonly dpi?: number | undefined;
  /** The recipe that the sheet must be of. */
  readonly own?: OwnRecipe | undefined;
}

export interface ScannedRing {
  readonly circle: number;
  readonly name: RingName;
  readonly due_mm: number;
  /** Null where the ring is covered, out of the picture, or too near to the next one for the pixels. */
  readonly measured_mm: number | null;
}

/** A printed gauge as a picture shows it. Scales are true over due length: 1 for a sheet that came out as it was meant. */
export interface ScanResult {
  /** Null without a believable resolution, and where a tilt hides them. */
  readonly scale_x: number | null;
  readonly scale_y: number | null;
  /** What either scale may be off by. */
  readonly scale_error_pct: number | null;
  /** scale_x / scale_y; null where a tilt hides it. */
  readonly aspect: number | null;
  readonly aspect_error_pct: number | null;
  /** How far the printed axes are from a right angle; null where the picture has perspective. */
  readonly skew_deg: number | null;
  readonly rings: readonly ScannedRing[];
  /** `use`: both scales within 0.5 %; `print anew`: one is beyond that, or their ratio is; `not known`. */
  readonly verdict: 'use' | 'print anew' | 'not known';
  /** `--scale-x` and `--scale-y` of the next print on the same printer. */
  readonly next: { readonly scale_x: number; readonly scale_y: number } | null;
  /** What millimetres are measured by: the resolution of the picture, or the sheet itself, taken as printed right. */
  readonly ruler: 'resolution' | 'sheet';
  readonly sheet: {
    readonly paper: Paper;
    readonly page: number;
    readonly pages: number;
    readonly digest: string;
    readonly version: string;
    readonly shots_per_circle: number;
    readonly scale_x: number;
    readonly scale_y: number;
  };
  readonly dpi: number | null;
  /** Pixels of the picture on a millimetre of the sheet, about its middle. */
  readonly pixels_per_mm: number;
  readonly turn_deg: number;
  /** Least and greatest tilt between sheet and picture. */
  readonly tilt_deg: readonly [number, number];
  readonly corner_marks: number;
  /** Root mean square of what is left between marks and rings and their places. */
  readonly misfit_mm: number;
}

/** What a picture is worked out at: more pixels tell no more of lines a tenth of a millimetre wide. */
const WORKING_PIXELS = 12e6;

/** A sheet that was found, in the working picture. */
export interface SeenSheet {
  readonly picture: Gray;
  /** Pixels of the picture along one of the working picture. */
  readonly factor: number;
  readonly sheet: FittedSheet;
}

/** Finds the sheet of a picture. */
export function seenSheet(picture: Gray): Outcome<SeenSheet> {
  const factor = Math.max(1, Math.ceil(Math.sqrt((picture.width * picture.height) / WORKING_PIXELS)));
  const working = reduced(picture, factor);
  const { sheet: placed, marks } = found(working);
  const sheet = placed === null ? null : fitSheet(working, placed);
  if (sheet !== null) return { result: { picture: working, factor, sheet }, findings: [] };
  const seen = marks < 3 ? `${marks === 0 ? 'no' : marks} corner mark${marks === 1 ? '' : 's'}` : 'no readable code';
  const message =
    marks < 3
      ? `there ${marks === 1 ? 'is' : 'are'} ${seen} in the picture`
      : `there is ${seen} among ${counted(marks, 'corner mark')}`;
  return { result: null, findings: [scanFinding('scan-no-sheet', null, message)] };
}

/** A sheet of A4 that fills so many pixels has discs eight pixels across in its corners: enough to find them. */
const MARK_PIXELS = 1.2e6;

/** Marks are looked for in a picture made smaller first, and in the whole one where that does not show all four. */
function found(picture: Gray): FoundSheet {
  const factor = Math.ceil(Math.sqrt((picture.width * picture.height) / MARK_PIXELS));
  const quick = foundBy(picture, factor);
  if (factor <= 1 || quick.sheet?.corners.length === 4) return quick;
  const whole = foundBy(picture, 1);
  return (quick.sheet?.corners.length ?? 0) > (whole.sheet?.corners.length ?? 0) ? quick : whole;
}

function foundBy(picture: Gray, factor: number): FoundSheet {
  const marks = findMarks(darkSpots(reduced(picture, factor)));
  return placeSheet(
    picture,
    marks.map(m => enlarged(m, factor)),
  );
}

/**
 * Reads a printed gauge back from a picture: what page it is, how true it was printed, its rings.
 * Findings: no sheet, another recipe's sheet (both without a result); a resolution that cannot be right, a tilt that hides the scale,
 * a sheet that does not lie flat.
 */
export function scan(picture: ScanPicture, options: ScanOptions = {}): Outcome<ScanResult> {
  const seen = seenSheet(picture);
  return seen.result === null
    ? { result: null, findings: seen.findings }
    : scanOf(seen.result, picture.density, options);
}

/** {@link scan} of a sheet that was found. */
export function scanOf(seen: SeenSheet, stated: Density | null, options: ScanOptions): Outcome<ScanResult> {
  const { sheet } = seen;
  const findings = options.own === undefined ? [] : sheetRecipeFindings(sheet.code, options.own);
  if (findings.some(f => f.severity === 'error')) return { result: null, findings };
  const size = believedSize(seen, stated, options.dpi);
  const uneven = unevenFinding(sheet);
  const rings = measuredRings(seen.picture, sheet);
  return {
    result: keysOf(seen, size, rings),
    findings: [...findings, ...size.findings, ...(uneven === null ? [] : [uneven])],
  };
}

interface BelievedSize {
  /** As drawn: the scales of the printer. */
  readonly print: PrintScale;
  readonly dpi: number | null;
  readonly findings: readonly Finding[];
}

/** A sheet farther off than this was not printed at 100 %, or the resolution is wrong [-]. */
const FARTHEST = 0.1;
/** More doubt than this is no scale [-]. */
const MOST_DOUBT = 0.005;

function believedSize({ sheet, picture, factor }: SeenSheet, stated: Density | null, dpi?: number): BelievedSize {
  const given = dpi === undefined ? stated : { x: dpi, y: dpi };
  const density = given === null ? null : { x: given.x / factor, y: given.y / factor };
  const view = { ...sheet, width: picture.width, height: picture.height };
  const without = printScale({ ...view, density: null });
  const perspective = without.tilt[1] > 0;
  const findings: Finding[] = [];
  if (without.aspect.doubt > MOST_DOUBT) {
    const [low, high] = without.tilt.map(t => t.toFixed(0));
    findings.push(
      scanFinding('scan-tilted', null, `the sheet is tilted by ${low} to ${high} deg: its scale cannot be told`),
    );
  }
  // What a camera writes for its resolution is none.
  if (density === null || (perspective && dpi === undefined)) return { print: without, dpi: null, findings };
  const print = printScale({ ...view, density });
  const far = [print.x, print.y].some(s => s !== null && Math.abs(s.value - 1) > FARTHEST + s.doubt);
  if (!far) return { print, dpi: given!.x, findings };
  const [x, y] = [print.x!.value, print.y!.value].map(v => v.toFixed(3));
  const message = `with ${given!.x.toFixed(0)} pixels to the inch the scales would be ${x} and ${y}`;
  return { print: without, dpi: null, findings: [...findings, scanFinding('scan-density', null, message)] };
}

/** Points may lie this far off on a sheet that lies flat [mm], and this many pixels, whichever is more. */
const FLAT = { mm: 0.06, pixels: 0.12 };

function unevenFinding(sheet: FittedSheet): Finding | null {
  if (sheet.misfit <= Math.max(FLAT.mm, FLAT.pixels / sheet.pixelsPerMm)) return null;
  const message = `marks and rings lie ${sheet.misfit.toFixed(2)} mm off their places`;
  return scanFinding('scan-uneven', null, message);
}

/** Scales within this are as good as a ruler can tell over 100 mm; ours, without a source [-]. */
const TRUE = 0.005;

function keysOf(seen: SeenSheet, { print, dpi }: BelievedSize, rings: readonly MeasuredRing[]): ScanResult {
  const { sheet, factor } = seen;
  const { code } = sheet;
  const bent = Math.max(0, sheet.misfit - 0.02) * BENT;
  const told = (s: Doubtful | null, drawn: number): Doubtful | null => {
    if (s === null) return null;
    const doubt = s.doubt / s.value + bent;
    return doubt > MOST_DOUBT ? null : { value: s.value / drawn, doubt };
  };
  const [x, y] = [told(print.x, code.scaleX), told(print.y, code.scaleY)];
  const aspect = told(print.aspect, code.scaleX / code.scaleY);
  const both = x !== null && y !== null ? { x, y } : null;
  const factorOf = both === null ? 1 : Math.sqrt(both.x.value * both.y.value);
  return {
    scale_x: both?.x.value ?? null,
    scale_y: both?.y.value ?? null,
    scale_error_pct: both === null ? null : 100 * Math.max(both.x.doubt, both.y.doubt),
    aspect: aspect?.value ?? null,
    aspect_error_pct: aspect === null ? null : 100 * aspect.doubt,
    skew_deg: print.skew,
    rings: rings.map(({ circle, name, due, measured }) => ({
      ...{ circle, name, due_mm: due, measured_mm: measured === null ? null : measured * factorOf },
    })),
    verdict: verdictOf(both, aspect),
    next:
      both === null
        ? null
        : { scale_x: rounded(both.x.value * code.scaleX), scale_y: rounded(both.y.value * code.scaleY) },
    ruler: both === null ? 'sheet' : 'resolution',
    sheet: {
      ...{ paper: code.paper, page: code.page, pages: code.pages, digest: code.digest, version: code.version },
      ...{ shots_per_circle: code.shots, scale_x: code.scaleX, scale_y: code.scaleY },
    },
    dpi,
    pixels_per_mm: sheet.pixelsPerMm * factor,
    turn_deg: print.turn,
    tilt_deg: print.tilt,
    corner_marks: sheet.corners.length,
    misfit_mm: sheet.misfit,
  };
}

/** What a millimetre that marks lie off adds to the doubt of a scale [1/mm]; ours: the sheet is bent over some 100 mm. */
const BENT = 0.03;

function verdictOf(both: { x: Doubtful; y: Doubtful } | null, aspect: Doubtful | null): ScanResult['verdict'] {
  const off = (s: Doubtful) => Math.abs(s.value - 1) > TRUE;
  if (both !== null) return off(both.x) || off(both.y) ? 'print anew' : 'use';
  return aspect !== null && off(aspect) ? 'print anew' : 'not known';
}

/** To the digits that `gauge` is given. */
function rounded(scale: number): number {
  return Number(scale.toFixed(4));
}
