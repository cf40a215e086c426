import { byCommandAlways, findingOf } from './coded.ts';

/** The codes of reading a picture of a gauge sheet; none is about the recipe alone, so no recipe silences one. */
export const scanCodes = {
  'scan-picture': byCommandAlways.error(
    'The picture cannot be read',
    'PNG and JPEG are read, told by their first bytes. A file that is cut short or damaged may show anything, so nothing is taken from it.',
    'Save the picture anew as PNG or JPEG.',
  ),
  'scan-picture-large': byCommandAlways.error(
    'The picture is too large',
    'Pixels are unpacked into memory; the size in the header is checked before that.',
    'Scan at 300 or 600 dpi, in shades of grey, or save the picture smaller.',
  ),
  'scan-no-sheet': byCommandAlways.error(
    'No gauge sheet is found in the picture',
    'Three of the four corner marks and the code must be in it, sharp and not covered; nothing is guessed.',
    'Lay the whole sheet flat, light it evenly, and take it from straight above so that all four corner marks are in the picture.',
  ),
  'scan-other-recipe': byCommandAlways.error(
    'The sheet is not of this recipe',
    'Its code carries the digest of the recipe that it was drawn for, and its rings are not those of this one: a dot would be judged by the wrong circle.',
    'Name the recipe that the sheet was drawn for, or draw and print the gauge of this one.',
  ),
  'scan-older-sheet': byCommandAlways.warning(
    'The sheet was drawn before the recipe changed',
    'The digest in its code is another, but its rings are still those of the recipe.',
    'Nothing has to be done; a new print carries the new digest.',
  ),
  'scan-density': byCommandAlways.warning(
    'The resolution of the picture cannot be right',
    'By it the sheet would be printed more than a tenth off. Cameras and programs often write 72 or 96 pixels to the inch for want of something better.',
    'Scan on a flatbed, and give its resolution with `--dpi`. Without it the ratio of both axes is all that is told.',
  ),
  'scan-tilted': byCommandAlways.warning(
    'The sheet is tilted in the picture',
    'How much shorter a tilted sheet looks depends on the focal length of the camera, which the picture does not tell.',
    'Use a flatbed, or hold the camera straight above the sheet. Dots are measured against the sheet and do not suffer.',
  ),
  'scan-uneven': byCommandAlways.warning(
    'Marks and rings do not lie as on a flat sheet',
    'A lens that bends straight lines, paper that does not lie flat or a scanner that moves unevenly stretches one part of the sheet against another.',
    'Press the sheet flat, take the picture from farther off with the sheet in its middle, or use a flatbed.',
  ),
  'scan-dot': byCommandAlways.warning(
    'Something on a circle is not measured',
    'A dot that is not round is two that touch, or one that ran; one that reaches out of its field, or whose edge is not seen, has no diameter to be told. A wrong one would trim a sound syringe.',
    'Wipe it off and shoot that dot anew, on the middle of a circle; light it evenly, so that its edge stands out from the paper.',
  ),
  'scan-no-dot': byCommandAlways.error(
    'No dot could be measured',
    'A dot is told from the print by a circle of the same page that is free. On paper that is no darker than the dot, or where every circle is covered, nothing is guessed.',
    'Leave one circle free at least, light the sheet evenly, and take the picture so that dots are some hundred pixels across.',
  ),
};

export const scanFinding = findingOf(scanCodes);
