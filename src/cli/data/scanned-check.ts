import type { ReleaseOptions } from '../../analysis/release/release.ts';
import { type Slide, wholeScan } from '../../analysis/scan/scan-dots.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { quantityFlags } from '../options/quantity-option.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { inPicture, readPictureFile } from './read-picture-file.ts';
import type { ScannedReadings } from './release-log-entry.ts';

/** Readings of a check off a picture. */
export interface ScannedCheck {
  /** Null where nothing could be read. */
  readonly options: Pick<ReleaseOptions, 'dots' | 'shots' | 'lastDigit' | 'readingError'> | null;
  readonly picture: (ScannedReadings & { readonly file: string }) | null;
  readonly placed: readonly Diagnostic[];
}

/** The last digit of a diameter as it is written down [m]. */
const LAST_DIGIT = 1e-6;

/** `--slide` and `--distance`, for dots that lie above the sheet. Throws: UsageError where they do not go together. */
export async function slideOption(call: Call): Promise<Slide | null> {
  const { slide, distance } = await quantityFlags(call, {
    slide: { kind: 'length', least: 'above zero' },
    distance: { kind: 'length', least: 'above zero' },
  });
  if (slide === undefined && distance === undefined) return null;
  if (slide === undefined || distance === undefined) throw new UsageError('--slide and --distance go together');
  if (slide > distance / 10) throw new UsageError('--distance must be ten times --slide at least');
  return { thickness: slide, distance };
}

/** What `--scan` reads for a recipe; null without that option. The picture is read at once, whatever the recipe. */
export async function scannedCheck(call: Call): Promise<((recipe: Recipe, digest: string) => ScannedCheck) | null> {
  const path = call.flags['scan'];
  const slide = await slideOption(call);
  if (typeof path !== 'string') {
    if (slide !== null) throw new UsageError('--slide is of a picture; give --scan');
    return null;
  }
  const { picture, sha256, diagnostics } = await readPictureFile(call.io, path);
  return (recipe, digest) => {
    if (picture === null) return { options: null, picture: null, placed: diagnostics };
    const { result, findings } = wholeScan(picture, { own: { recipe, digest }, dots: true, slide });
    const placed = findings.map(f => inPicture(path, f));
    if (result === null || !('dots' in result.result)) return { options: null, picture: null, placed };
    const { dots, readings, reading_error_mm, sheet } = result.result;
    return {
      options: {
        dots: dots.map(d => d.diameter_mm / 1000),
        shots: sheet.shots_per_circle,
        ...{ lastDigit: LAST_DIGIT, readingError: reading_error_mm / 1000 },
      },
      picture: { file: path, sha256, readings },
      placed,
    };
  };
}
