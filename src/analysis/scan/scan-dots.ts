import { scanFinding } from '../../diagnostics/codes/scan-codes.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { mapped } from '../../numeric/plane/homography.ts';
import { circlePlane, circlesOf } from '../sheet/sheet-circles.ts';
import { type Outline, sheetOutlines } from './outlines.ts';
import { readDots, type SeenDot, type SeenDots } from './read-dots.ts';
import { type ScanOptions, type ScanPicture, type ScanResult, type SeenSheet, scanOf, seenSheet } from './scan.ts';

/** A slide on the sheet, on which the dots lie. */
export interface Slide {
  /** Its thickness [m]. */
  readonly thickness: number;
  /** Of the camera from the sheet [m]. */
  readonly distance: number;
}

export interface ScannedDot {
  readonly circle: number;
  readonly diameter_mm: number;
  readonly low_mm: number;
  readonly high_mm: number;
  /** Diameter of the circle of the same area, and of the circle by least squares. */
  readonly by_area_mm: number;
  readonly by_circle_mm: number;
  readonly out_of_round_pct: number;
  /** Between the middle of the dot and that of its circle. */
  readonly off_centre_mm: number;
}

export interface ScanDotsResult extends ScanResult {
  readonly dots: readonly ScannedDot[];
  /** Circles on which something lies that was not taken for a dot, and why. */
  readonly refused: readonly { readonly circle: number; readonly why: string }[];
  /** As `release --dots` takes them. */
  readonly readings: string;
  /** The greatest doubt of them, as `release --reading-error` takes it. */
  readonly reading_error_mm: number;
}

/** A scan with its dots, and their outlines over the working picture. */
export interface ScannedDots {
  readonly result: ScanDotsResult;
  readonly outlines: readonly Outline[];
}

/**
 * The dots on the circles of a sheet that was scanned. They are measured against the sheet, which is taken as printed right unless
 * the resolution of the picture says how large it is; what lies on a slide is nearer to the camera and looks larger, by 1/(1 − h/D).
 * Findings: something on a circle that is no dot to be measured; no dot at all (without a result).
 */
export function scanDots(seen: SeenSheet, result: ScanResult, slide: Slide | null): Outcome<ScannedDots> {
  const found = readDots(seen.picture, seen.sheet);
  if (found === null) {
    const message = 'every circle is covered: without a free one, print and dot are not told apart';
    return { result: null, findings: [scanFinding('scan-no-dot', null, message)] };
  }
  const findings = found.refused.map(({ circle, why }) =>
    scanFinding('scan-dot', null, `what lies on circle ${circle} is not measured: ${why}`),
  );
  if (found.dots.length === 0) {
    const message = `there is no dot to be measured on the ${circlesOf(seen.sheet.code).length} circles of the page`;
    return { result: null, findings: [...findings, scanFinding('scan-no-dot', null, message)] };
  }
  const size = sizeOf(result, slide);
  const dots = found.dots.map(dot => dotKeys(dot, size));
  const worst = Math.max(...dots.map(d => (d.high_mm - d.low_mm) / 2));
  return {
    result: {
      result: {
        ...result,
        ...{ dots, refused: found.refused },
        readings: `${dots.map(d => d.diameter_mm.toFixed(3)).join(', ')} mm`,
        reading_error_mm: worst,
      },
      outlines: outlinesOf(seen, found),
    },
    findings,
  };
}

/** What makes true millimetres of those of the sheet, and the share by which that may be off. */
function sizeOf(result: ScanResult, slide: Slide | null): { factor: number; doubt: number } {
  const lift = slide === null ? 1 : 1 - slide.thickness / slide.distance;
  const { scale_x, scale_y, scale_error_pct, aspect } = result;
  if (scale_x !== null && scale_y !== null) {
    return { factor: Math.sqrt(scale_x * scale_y) * lift, doubt: (scale_error_pct ?? 0) / 100 };
  }
  return { factor: lift, doubt: aspect === null ? 0 : Math.abs(aspect - 1) / 2 };
}

function dotKeys(dot: SeenDot, { factor, doubt }: { factor: number; doubt: number }): ScannedDot {
  const diameter = dot.diameter * factor;
  const half = dot.doubt * factor + doubt * diameter;
  return {
    circle: dot.circle,
    diameter_mm: diameter,
    low_mm: diameter - half,
    high_mm: diameter + half,
    by_area_mm: dot.byArea * factor,
    by_circle_mm: dot.byCircle * factor,
    out_of_round_pct: 100 * dot.outOfRound,
    off_centre_mm: Math.hypot(dot.middle.x, dot.middle.y) * factor,
  };
}

function outlinesOf({ sheet: { toPicture, code } }: SeenSheet, { dots }: SeenDots): Outline[] {
  const middles = new Map(circlesOf(code).map(({ circle, middle }) => [circle, middle]));
  return dots.map(({ circle, outline }) => {
    const plane = circlePlane(toPicture, code, middles.get(circle)!);
    return { of: 'dot', points: outline.map(p => mapped(plane, p)) };
  });
}

export interface ScanDotsOptions extends ScanOptions {
  /** Measure dots as well. */
  readonly dots?: boolean | undefined;
  readonly slide?: Slide | null | undefined;
}

/** All that a picture was found to hold. */
export interface WholeScan {
  readonly seen: SeenSheet;
  readonly result: ScanResult | ScanDotsResult;
  readonly outlines: readonly Outline[];
}

/** The sheet of a picture, and its dots where they are asked for; what there is to say about both. */
export function wholeScan(picture: ScanPicture, options: ScanDotsOptions): Outcome<WholeScan> {
  const { result: seen, findings: found } = seenSheet(picture);
  if (seen === null) return { result: null, findings: found };
  const { result, findings } = scanOf(seen, picture.density, options);
  if (result === null) return { result: null, findings };
  if (options.dots !== true) return { result: { seen, result, outlines: sheetOutlines(seen) }, findings };
  const dots = scanDots(seen, result, options.slide ?? null);
  const all = [...findings, ...dots.findings];
  if (dots.result === null) return { result: null, findings: all };
  const outlines = [...sheetOutlines(seen), ...dots.result.outlines];
  return { result: { seen, result: dots.result.result, outlines }, findings: all };
}
