import { type Finding, finding, type Severity } from '../../diagnostics/finding.ts';

/** What `explain` prints for a code of data files, trials, fit, release, trend or gauge study. */
interface FloorCode {
  readonly severity: Severity;
  readonly title: string;
  readonly why: string;
  readonly remedy: string;
}

/** The codes of the floor loop: data files, trials, fit, release, trend, gauge study. One table, because one page of help lists them. */
export const floorCodes = {
  'data-syntax': {
    severity: 'error',
    title: 'The data file is no CSV',
    why: 'A quote that is not closed, or not doubled inside a cell, leaves open where the cells end.',
    remedy: 'Put a cell with quotes in quotes, and write each quote inside it twice.',
  },
  'data-empty': {
    severity: 'error',
    title: 'The data file has no rows',
    why: 'There is nothing to work out.',
    remedy: 'Write a header with the names of the columns, and one row for every reading.',
  },
  'data-row-length': {
    severity: 'error',
    title: 'A row has more or fewer cells than the header',
    why: 'From the odd place on, every cell would be read under the wrong name.',
    remedy: 'Check the delimiters of the row, and put texts that contain one in quotes.',
  },
  'data-column-nameless': {
    severity: 'error',
    title: 'A column with cells has no name',
    why: 'Columns are found by their names, not by their order.',
    remedy: 'Name it in the header, `name [unit]`.',
  },
  'data-column-duplicate': {
    severity: 'error',
    title: 'Two columns have one name',
    why: 'It would be chance which of them is read.',
    remedy: 'Rename or remove one of them.',
  },
  'data-column-missing': {
    severity: 'error',
    title: 'A column is missing',
    why: 'The command needs it, and its values cannot be guessed.',
    remedy: 'Add it to the header, `name [unit]`, with a value in every row.',
  },
  'data-cell-missing': {
    severity: 'error',
    title: 'A cell that is needed is empty',
    why: 'A reading without its setting, or a setting without its reading, says nothing.',
    remedy: 'Fill the cell in, or remove the row.',
  },
  'data-out-of-range': {
    severity: 'error',
    title: 'A number of the data file cannot be',
    why: 'A mass, a dwell or a count at or below zero is a slip of the pen.',
    remedy: 'Correct the cell, or remove the row.',
  },
  'data-time-invalid': {
    severity: 'error',
    title: 'A time of the check log is none',
    why: 'The log is read by machines; dates are written in one way only, ISO 8601.',
    remedy: 'Write 2026-03-02T06:40:00+01:00.',
  },
  'trend-cell-skipped': {
    severity: 'warning',
    title: 'A row without a value was left out of the trend',
    why: 'Moving ranges and runs are then taken across the gap.',
    remedy: 'Fill the value in if it was measured.',
  },
  'trend-too-few': {
    severity: 'error',
    title: 'Too few points for a chart',
    why: 'Without two points, or two readings in some subgroup, there is no scatter to set limits from.',
    remedy: 'Collect more readings, or take larger subgroups or a chart of individuals.',
  },
  'trend-few-points': {
    severity: 'warning',
    title: 'The limits rest on few points',
    why: 'With fewer than twenty points the limits themselves are uncertain by a fifth and more (common practice asks for 20 to 25; no source).',
    remedy: 'Treat them as provisional and work them out again when more points are there.',
  },
  'trend-no-scatter': {
    severity: 'error',
    title: 'The readings have no scatter',
    why: 'Readings that are all alike, or rounded until they are, give limits of no width.',
    remedy: 'Record more digits, or give the standard deviation with `--sigma`.',
  },
  'trend-option-invalid': {
    severity: 'error',
    title: 'An option of the trend cannot be',
    why: 'The chart would have no meaning with it.',
    remedy: 'Correct the option that the message names.',
  },
  'trend-subgroup-short': {
    severity: 'warning',
    title: 'The last subgroup is not full',
    why: 'Its point has wider limits than the others.',
    remedy: 'Complete it with the next readings.',
  },
  'trend-rules-ewma': {
    severity: 'warning',
    title: 'Run rules other than 1 do not apply to an EWMA',
    why: 'Its points share readings with each other, so that runs are the rule and not a signal.',
    remedy: 'Look for runs on a chart of individuals.',
  },
  'trend-signal': {
    severity: 'warning',
    title: 'A run rule fires',
    why: 'The process has probably moved: such a pattern is rare by chance alone.',
    remedy: 'Look for the cause at the points named: lot, needle, operator, room, air line.',
  },
  'trend-range-signal': {
    severity: 'warning',
    title: 'The scatter is beyond its limits',
    why: 'Limits of the means rest on a steady scatter.',
    remedy: 'Look for the cause at the points named before you trust the limits.',
  },
  'capability-withheld': {
    severity: 'warning',
    title: 'No capability is stated while the process is not stable',
    why: 'Capability foretells what a stable process will do. One that moves will do something else.',
    remedy: 'Find and remove the cause of the signal, then collect new readings.',
  },
  'gauge-study-unbalanced': {
    severity: 'error',
    title: 'The gauge study is not crossed, or not balanced',
    why: 'The analysis needs every operator to measure every part equally often, two times at least.',
    remedy: 'Make the readings that are missing, or leave out the part or the operator.',
  },
  'gauge-poor': {
    severity: 'warning',
    title: 'The gauge hides the parts',
    why: 'Above 30 % of the study variation, or below five distinct categories, a gauge cannot guide a process (AIAG, Measurement Systems Analysis).',
    remedy: 'Take more readings for one result, more shots for one dot, or a finer gauge.',
  },
  'gauge-marginal': {
    severity: 'warning',
    title: 'The gauge is only just good enough',
    why: 'Between 10 % and 30 % of the study variation a gauge serves where nothing much hangs on it (AIAG, Measurement Systems Analysis).',
    remedy: 'Take more readings for one result where the decision is a close one.',
  },
  'fit-too-few': {
    severity: 'error',
    title: 'Too few rows for the fit',
    why: 'As many parameters as rows can be made to fit anything.',
    remedy: 'Make more trials, or keep a parameter fixed.',
  },
  'fit-not-converged': {
    severity: 'error',
    title: 'The fit did not come to an end',
    why: 'The numbers of a fit that is still moving mean nothing.',
    remedy: 'Check the data for slips and units; keep a parameter fixed.',
  },
  'fit-unresolved': {
    severity: 'warning',
    title: 'A parameter cannot be told from these data',
    why: 'Many values fit nearly as well: its interval holds zero effect and more, or it moves together with another.',
    remedy:
      'Keep it fixed, or make trials that move it: several pressures for an offset, several dwells for a dead time.',
  },
  'fit-at-bound': {
    severity: 'warning',
    title: 'A parameter ended at its bound',
    why: 'The data pull it beyond what can be; its interval is not known.',
    remedy: 'Check the data, or keep it fixed.',
  },
  'fit-lack': {
    severity: 'warning',
    title: 'The model does not fit as well as the replicates repeat',
    why: 'What is left over is more than the scatter of equal settings: something acts that the model does not know.',
    remedy:
      'Look at the residuals against pressure, dwell and age; the flow model or the air line are the usual suspects.',
  },
  'fit-outlier': {
    severity: 'warning',
    title: 'A row stands apart',
    why: 'It is further from the fit than the scatter of the others explains. It was not left out.',
    remedy: 'Look up what happened there; remove the row only for a reason.',
  },
  'fit-leverage': {
    severity: 'warning',
    title: 'The fit hangs on one row',
    why: 'It alone decides a parameter, and nothing in the data can contradict it.',
    remedy: 'Repeat that setting, or add others near it.',
  },
  'fit-row-impossible': {
    severity: 'error',
    title: 'A row cannot be reached by the model',
    why: 'The resin would not flow there, or is past its gel point, yet something was weighed.',
    remedy: 'Check pressure, age and temperature of the row, and the resin of the recipe.',
  },
  'fit-temperatures': {
    severity: 'warning',
    title: 'The curve was measured at several temperatures',
    why: 'Without an activation energy the points cannot be brought to one temperature.',
    remedy: 'Give `resin.activation_energy`, or fit each temperature by itself.',
  },
  'fit-conditions': {
    severity: 'warning',
    title: 'Trials without age or temperature',
    why: 'The resin thickens with age and thins with warmth; what is not written down ends up in the viscosity factor.',
    remedy: 'Fill in the columns `age [min]` and `temperature [degC]`.',
  },
  'fit-not-written': {
    severity: 'error',
    title: 'The fit was not written into the recipe',
    why: 'A parameter that the data do not tell, or that ended at its bound, would be taken for a measurement by every later command.',
    remedy: 'Keep the parameter fixed with `--fix`, or make trials that move it.',
  },
  'data-not-utf8': {
    severity: 'error',
    title: 'The data file is not UTF-8',
    why: 'In another encoding names, units and notes would be read wrongly without a word.',
    remedy: 'Save it as UTF-8; spreadsheets call it "CSV UTF-8".',
  },
  'log-header': {
    severity: 'error',
    title: 'The file has another header than a check log',
    why: 'A line appended to it would stand under the wrong names. Nothing was written.',
    remedy: 'Name another file with `--log`; one that does not exist yet gets its header.',
  },
  'log-line-open': {
    severity: 'warning',
    title: 'The last line of the check log was never finished',
    why: 'Writing it was interrupted. It was left as it is, and the new check stands on a line of its own.',
    remedy: 'Complete or remove the broken line by hand, so that the log can be read again.',
  },
  'release-reading': {
    severity: 'error',
    title: 'A dot or weighing of the release cannot be',
    why: 'No drop of this resin has such a diameter, or no shot such a mass.',
    remedy: 'Check the reading and its unit.',
  },
  'release-one-reading': {
    severity: 'warning',
    title: 'The release rests on a single reading',
    why: 'One reading has no scatter; its interval rests on the spread that the recipe predicts.',
    remedy: 'Take three dots or weighings at least.',
  },
  'release-conditions': {
    severity: 'warning',
    title: 'Age or temperature of the check is not given',
    why: 'The resin thickens with age and thins with warmth. Without them the log cannot tell a thick lot from a late check.',
    remedy: 'Give `--age` and `--temperature`.',
  },
  'release-too-old': {
    severity: 'warning',
    title: 'The resin is past the age at which work stops',
    why: 'A shot of the right size does not make old resin good: it wets worse, and thickens further with every connector.',
    remedy: 'Mix a new kit, or correct `--age`.',
  },
  'release-undecided': {
    severity: 'warning',
    title: 'The readings do not decide',
    why: 'Part of the interval lies inside the window and part outside. A syringe is released only when all of it lies inside (ISO 14253-1).',
    remedy: 'Take as many more readings as the result says, put more shots on one dot, or weigh.',
  },
  'release-trim-proportional': {
    severity: 'warning',
    title: 'The trim was taken in proportion',
    why: 'Without a flow model the shot is taken to grow with the dwell alone, which leaves out dead time and the rise of the air.',
    remedy: 'Complete the blocks that the message names.',
  },
  'release-trim-impractical': {
    severity: 'warning',
    title: 'The trimmed dwell is outside the practical range',
    why: 'Such a dwell is hasty or tiresome, and a sign that the setting does not suit this syringe.',
    remedy: 'Choose another pressure with `setpoint`, at the lot factor that the result implies.',
  },
  'trials-levels': {
    severity: 'error',
    title: 'The trial has no settings to choose from',
    why: 'The station limits or its resolution leave fewer settings than were asked for, or none at which the resin flows.',
    remedy: 'Ask for fewer, name them yourself, or widen the limits of the station.',
  },
  'trials-confounded': {
    severity: 'warning',
    title: 'The trial cannot tell everything apart',
    why: 'With one pressure an offset looks like a thicker resin, and with one dwell so does a dead time.',
    remedy: 'Try two settings of it at least, three to see a curvature.',
  },
  'trials-precision': {
    severity: 'warning',
    title: 'The trial does not reach the wanted confidence',
    why: 'With so many weighings and such a scatter, the interval of the fit will be wider than wanted.',
    remedy: 'Make more replicates, put more shots on one weighing, or spread the settings wider.',
  },
  'trials-ages': {
    severity: 'warning',
    title: 'The ages of the trial do not fit the clock',
    why: 'Age runs with the clock: a block that is not finished when the next is due pushes it back.',
    remedy: 'Fewer runs in a block, or ages further apart. The fit takes the age you write down, not the planned one.',
  },
  'trials-resin': {
    severity: 'warning',
    title: 'The trial takes more resin than one syringe holds',
    why: 'A second syringe is a second needle or a second mix, and the trial then measures their difference as well.',
    remedy: 'Fewer shots on one weighing, fewer replicates, or name the syringe in the notes of each run.',
  },
} satisfies Record<string, FloorCode>;

export type FloorCodeName = keyof typeof floorCodes;

/** A finding of a code on record; `help` says something more to the point where it can. */
export function floorFinding(code: FloorCodeName, path: string | null, message: string, help?: string): Finding {
  const text = floorCodes[code];
  return finding(text.severity, code, path, message, help ?? text.remedy);
}
