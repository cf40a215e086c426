import { byCheckAlways, byCommandAlways, findingOf } from './coded.ts';

/** The codes of what can be wrong with the text, the shape and the values of a recipe file. */
export const recipeCodes = {
  'file-not-utf8': byCheckAlways.error(
    'The file is not UTF-8',
    'Other encodings turn signs such as ± and µ into something else without a word.',
    'Save the file as UTF-8.',
  ),
  'file-too-large': byCheckAlways.error(
    'The file is too large',
    'A recipe has a few kilobytes; a file of more than 256 KiB is something else, and is not read any further.',
    'Name a recipe; thin out a long table of points.',
  ),
  'file-empty': byCheckAlways.error(
    'The file is empty',
    'A file without content is more often an accident than a recipe.',
    'Start with "recipe: 1", or remove the file.',
  ),
  'not-a-mapping': byCheckAlways.error(
    'The file holds no mapping',
    'A recipe, and a part that `from` names, is a mapping of keys to values.',
    'Write one "key: value" a line.',
  ),
  'several-documents': byCheckAlways.error(
    'The file holds several documents',
    'Which of them would be meant cannot be told.',
    'Keep one document a file.',
  ),
  'yaml-syntax': byCheckAlways.error(
    'The text is not YAML',
    'The text could not be read as YAML 1.2 from this place on; nothing after it was checked.',
    'Mend the text at the place named: brackets, quotes, indentation, the blank after a colon.',
  ),
  'yaml-tab': byCheckAlways.error(
    'A tab in the indentation',
    'YAML counts columns, and a tab has no agreed width.',
    'Indent with spaces.',
  ),
  'yaml-duplicate-key': byCheckAlways.error(
    'A key stands twice',
    'Only one of the two values can count, and which is not to be guessed.',
    'Remove one of them.',
  ),
  'yaml-tag': byCheckAlways.error(
    'A tag has no meaning in a recipe',
    'A recipe is made of texts, numbers, lists and mappings; it cannot ask for other objects.',
    'Remove the tag.',
  ),
  'alias-unknown': byCheckAlways.error(
    'An alias names no anchor',
    'An alias repeats a value that was given an anchor (&name) further up.',
    'Give the value its anchor, or write the value itself.',
  ),
  'alias-too-large': byCheckAlways.error(
    'Aliases unfold to too much',
    'Aliases of aliases can make a short text unfold to more than any machine holds.',
    'Write the values out, or put them into a part and use `from`.',
  ),
  'key-unknown': byCheckAlways.error(
    'The key is unknown',
    'A misspelt key would otherwise leave a default in place of the value that was meant.',
    'Correct the key, or remove it. A key that came with `from` is removed with "key: null".',
  ),
  'key-missing': byCheckAlways.error(
    'A key is missing',
    'The block cannot be used without this value, and no default would be right.',
    'Add the key.',
  ),
  'key-conflict': byCheckAlways.error(
    'Two keys exclude each other',
    'The same thing is given in two ways, which may differ.',
    'Keep one of them.',
  ),
  'version-unsupported': byCheckAlways.error(
    'The format version is not supported',
    'A file in a later version may mean something else by the same keys.',
    'Write "recipe: 1", or use a program that reads that version.',
  ),
  'value-type': byCheckAlways.error(
    'The value has the wrong form',
    'The key takes another kind of value: a text, a number, a list or a mapping.',
    'Write the value in the form that the message names.',
  ),
  'value-unknown': byCheckAlways.error(
    'The word is not one of those that will do',
    'The key takes one of a few words, each with its own meaning.',
    'Choose one of the words in the message.',
  ),
  'value-range': byCheckAlways.error(
    'The value is out of range',
    'Outside this range the quantity has no meaning, so nothing could be computed from it.',
    'Correct the number or its unit.',
  ),
  'order-wrong': byCheckAlways.error(
    'Values are in the wrong order',
    'The first must stay below the second: a minimum and its maximum, points of a table, shot numbers.',
    'Swap or correct them.',
  ),
  'path-unknown': byCheckAlways.error(
    'The path names no quantity',
    'A correlation ties two deviations together; both must be quantities of this recipe with a tolerance.',
    'Correct the path; `dwellbook spread` lists the paths that deviate.',
  ),
  'number-invalid': byCheckAlways.error(
    'The number cannot be read',
    'Numbers are decimal with a decimal point; a comma, hexadecimal digits or infinity could be misread.',
    'Write the number like 1.5 or 2.0e6.',
  ),
  'unit-missing': byCheckAlways.error(
    'The unit is missing',
    'A bare number would be read in some default unit, and one day in the wrong one.',
    'Write the unit after the number.',
  ),
  'unit-unknown': byCheckAlways.error(
    'The unit is unknown',
    'Units are spelt exactly: Pa is a pressure, PA is nothing.',
    'Use one of the units in the message.',
  ),
  'unit-mismatch': byCheckAlways.error(
    'The unit measures something else',
    'A length cannot stand where a pressure is due.',
    'Use a unit of the right kind.',
  ),
  'unit-ambiguous': byCheckAlways.error(
    'The unit can be read in two ways',
    'After a division sign it is not clear whether the next factor multiplies or divides.',
    'Put the divisor in parentheses.',
  ),
  'expression-invalid': byCheckAlways.error(
    'The expression cannot be worked out',
    'Expressions are arithmetic on numbers and units, and nothing else: a recipe cannot run code.',
    'Use numbers, units, + - * / ^, parentheses, sqrt and pi.',
  ),
  'consistency-exponent': byCheckAlways.error(
    'The unit of K does not go with n',
    'The consistency of a power law is in Pa.s^n; with another exponent its number means another fluid.',
    'Write Pa.s^n, or the exponent that n has.',
  ),
  'tolerance-invalid': byCheckAlways.error(
    'The tolerance cannot be used',
    'A tolerance is a half-width, given once, in the unit of its value or in percent of it.',
    'Write it like "126 ± 0.5 um" or "2.4 Pa.s ± 15 %".',
  ),
  'tolerance-too-wide': byCheckAlways.error(
    'The tolerance takes the value to zero or below',
    'A bore or a viscosity of nothing has no flow that could be computed.',
    'Make the tolerance smaller than the value.',
  ),
  'from-missing': byCheckAlways.error(
    'The part does not exist',
    'The block starts from another file, which is not there.',
    'Correct the path; it is relative to the file it stands in.',
  ),
  'from-unreadable': byCheckAlways.error(
    'The part cannot be read',
    'The block starts from another file, which the system does not let us read.',
    'Name a file that may be read.',
  ),
  'from-outside-root': byCheckAlways.error(
    'The part lies outside the recipe root',
    'A recipe may only read files of its own repository, also by way of links.',
    'Move the part below the root, or name the root with --root.',
  ),
  'from-loop': byCheckAlways.error(
    'A part starts from itself',
    'Following `from` would never end.',
    'Break the circle.',
  ),
  'override-invalid': byCommandAlways.error(
    'An override cannot be used',
    'An override names the path of a value and what to put there.',
    'Write --set path=value, such as --set resin.rheology.viscosity="3 Pa.s".',
  ),
  'write-impossible': byCommandAlways.error(
    'A value cannot be written into the file',
    'The text has no place for it that would leave everything else as it is.',
    'Write the value by hand.',
  ),
};

export const recipeFinding = findingOf(recipeCodes);
