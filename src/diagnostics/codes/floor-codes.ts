import { byCommand, findingOf } from './coded.ts';

/** The codes of the floor loop: data files, trials, fit, release, trend, gauge study. */
export const floorCodes = {
  'data-syntax': byCommand.error(
    'The data file is not CSV',
    'A quote that is not closed, or not doubled inside a cell, leaves open where the cells end.',
    'Put a cell with quotes in quotes, and write each quote inside it twice.',
  ),
  'data-empty': byCommand.error(
    'The data file has no rows',
    'There is nothing to work out.',
    'Write a header with the names of the columns, and one row for every reading.',
  ),
  'data-row-length': byCommand.error(
    'A row has more or fewer cells than the header',
    'From the odd place on, every cell would be read under the wrong name.',
    'Check the delimiters of the row, and put texts that contain one in quotes.',
  ),
  'data-column-nameless': byCommand.error(
    'A column with cells has no name',
    'Columns are found by their names, not by their order.',
    'Name it in the header, `name [unit]`.',
  ),
  'data-column-duplicate': byCommand.error(
    'Two columns have one name',
    'It would be chance which of them is read.',
    'Rename or remove one of them.',
  ),
  'data-column-missing': byCommand.error(
    'A column is missing',
    'The command needs it, and its values cannot be guessed.',
    'Add it to the header, `name [unit]`, with a value in every row.',
  ),
  'data-cell-missing': byCommand.error(
    'A cell that is needed is empty',
    'A reading without its setting, or a setting without its reading, says nothing.',
    'Fill the cell in, or remove the row.',
  ),
  'data-out-of-range': byCommand.error(
    'A value in the data file is impossible',
    'A mass, a dwell or a count at or below zero is a slip of the pen.',
    'Correct the cell, or remove the row.',
  ),
  'data-time-invalid': byCommand.error(
    'A time in the check log cannot be read',
    'Times in the log are written in one way only, ISO 8601.',
    'Write 2026-03-02T06:40:00+01:00.',
  ),
  'data-row-skipped': byCommand.warning(
    'Rows without a measurement were left out',
    'A run sheet has rows that were not made yet, or whose weighing failed; nothing can be told from them.',
    'Fill the measurement in if there is one.',
  ),
  'trend-cell-skipped': byCommand.warning(
    'A row without a value was left out of the trend',
    'Moving ranges and runs are then taken across the gap.',
    'Fill the value in if it was measured.',
  ),
  'trend-too-few': byCommand.error(
    'Too few points for a chart',
    'Without two points, or two readings in some subgroup, there is no scatter to set limits from.',
    'Collect more readings, or take larger subgroups or a chart of individuals.',
  ),
  'trend-few-points': byCommand.warning(
    'The limits rest on few points',
    'With fewer than twenty points the limits themselves are uncertain by a fifth and more (common practice asks for 20 to 25; no source).',
    'Treat them as provisional and work them out again when more points are there.',
  ),
  'trend-no-scatter': byCommand.error(
    'The readings have no scatter',
    'Readings that are all alike, or rounded until they are, give limits of no width.',
    'Record more digits, or give the standard deviation with `--sigma`.',
  ),
  'trend-option-invalid': byCommand.error(
    'A trend option is impossible',
    'The chart would have no meaning with it.',
    'Correct the option that the message names.',
  ),
  'trend-subgroup-short': byCommand.warning(
    'The last subgroup is not full',
    'Its point has wider limits than the others.',
    'Complete it with the next readings.',
  ),
  'trend-several-recipes': byCommand.warning(
    'The log has checks of several recipes',
    'Recipes have different aims: one chart of all of them would take their differences for drift.',
    'Nothing, or keep a log for each recipe; `--by` takes another column.',
  ),
  'trend-rules-ewma': byCommand.warning(
    'Run rules other than 1 do not apply to an EWMA',
    'Its points share readings with each other, so that runs are the rule and not a signal.',
    'Look for runs on a chart of individuals.',
  ),
  'trend-signal': byCommand.warning(
    'A run rule fires',
    'The process has probably moved: such a pattern is rare by chance alone.',
    'Look for the cause at the points named: lot, needle, operator, room, air line.',
  ),
  'trend-range-signal': byCommand.warning(
    'The scatter is beyond its limits',
    'Limits of the means rest on a steady scatter.',
    'Look for the cause at the points named before you trust the limits.',
  ),
  'capability-withheld': byCommand.warning(
    'No capability with points beyond three sigma',
    'Capability predicts what a stable process will do. A process that moves will do something else.',
    'Find and remove the cause of the signal, then collect new readings.',
  ),
  'gauge-study-unbalanced': byCommand.error(
    'The gauge study is not crossed, or not balanced',
    'The analysis needs every operator to measure every part equally often, two times at least.',
    'Make the readings that are missing, or leave out the part or the operator.',
  ),
  'gauge-poor': byCommand.warning(
    'The measuring system cannot tell the parts apart',
    'Above 30 % of the study variation, or below five distinct categories, a gauge cannot guide a process (AIAG, Measurement Systems Analysis).',
    'Take more readings for one result, more shots for one dot, or a finer gauge.',
  ),
  'gauge-marginal': byCommand.warning(
    'The measuring system is marginal',
    'Between 10 % and 30 % of the study variation a gauge serves where nothing much hangs on it (AIAG, Measurement Systems Analysis).',
    'Take more readings for one result where the decision is a close one.',
  ),
  'fit-too-few': byCommand.error(
    'Too few rows for the fit',
    'As many parameters as rows can be made to fit anything.',
    'Make more trials, or keep a parameter fixed.',
  ),
  'fit-not-converged': byCommand.error(
    'The fit did not converge',
    'Numbers of a fit that has not converged mean nothing.',
    'Check the data for slips and units; keep a parameter fixed.',
  ),
  'fit-unresolved': byCommand.warning(
    'A parameter cannot be told from these data',
    'Many values fit nearly as well: its interval holds zero effect and more, or it moves together with another.',
    'Keep it fixed, or make trials that move it: several pressures for an offset, several dwells for a dead time.',
  ),
  'fit-at-bound': byCommand.warning(
    'A parameter ended at its limit',
    'The data pull it beyond what is possible; its interval is not known.',
    'Check the data, or keep it fixed.',
  ),
  'fit-lack': byCommand.warning(
    'The model does not fit as well as the replicates repeat',
    'What is left over is more than the scatter of equal settings: something acts that the model does not know.',
    'Look at the residuals against pressure, dwell and age; the flow model or the air line are the usual suspects.',
  ),
  'fit-outlier': byCommand.warning(
    'A row is an outlier',
    'It lies further from the fit than the scatter of the others explains. It still counts.',
    'Look up what happened there; remove the row only for a reason.',
  ),
  'fit-leverage': byCommand.warning(
    'One row decides the fit',
    'It alone decides a parameter, and nothing in the data can contradict it.',
    'Repeat that setting, or add others near it.',
  ),
  'fit-row-impossible': byCommand.error(
    'A row cannot be reached by the model',
    'The resin would not flow there, or is past its gel point, yet something was weighed.',
    'Check pressure, age and temperature of the row, and the resin of the recipe.',
  ),
  'fit-temperatures': byCommand.warning(
    'The curve was measured at several temperatures',
    'Without an activation energy the points cannot be brought to one temperature.',
    'Give `resin.activation_energy`, or fit each temperature by itself.',
  ),
  'fit-run-order': byCommand.warning(
    'The rows drift in the order in which they stand',
    'The resin thickens while trials are made. Without ages the fit takes that for an effect of whatever was changed from row to row, and no interval allows for it.',
    'Fill in the column `age [min]`. Where the rows do not stand in the order in which they were made, put them in it; `trials` makes its runs in random order.',
  ),
  'fit-needless': byCommand.warning(
    'A parameter that does nothing was not written',
    'What may as well be zero, and what the fit is no better for, would be taken for a measurement by every later command.',
    'Nothing; or make trials that tell it, or keep it with `--fix`.',
  ),
  'fit-rivals': byCommand.warning(
    'Models that fit as well give different shots',
    'Flow curves that agree where they were measured part where they were not. The best by a hair is no better than the next, and what the shot will be has not been measured.',
    'Measure at the shear rate of the needle, or weigh shots; `--write --model` takes one of them all the same.',
  ),
  'fit-conditions': byCommand.warning(
    'Trials without age or temperature',
    'The resin thickens with age and thins with warmth; what is not written down ends up in the viscosity factor.',
    'Fill in the columns `age [min]` and `temperature [degC]`.',
  ),
  'fit-not-written': byCommand.error(
    'The fit was not written into the recipe',
    'A parameter that the data do not tell, or that ended at its bound, would be taken for a measurement by every later command.',
    'Keep the parameter fixed with `--fix`, or make trials that move it.',
  ),
  'data-not-utf8': byCommand.error(
    'The data file is not UTF-8',
    'In another encoding names, units and notes would be read wrongly without a word.',
    'Save it as UTF-8; spreadsheets call it "CSV UTF-8".',
  ),
  'log-header': byCommand.error(
    'The file has another header than a check log',
    'A line appended to it would stand under the wrong names. Nothing was written.',
    'Name another file with `--log`; one that does not exist yet gets its header.',
  ),
  'log-older': byCommand.warning(
    'The check log has fewer columns than a check fills',
    'A log that was begun before has no place for what was read and set, so that a check cannot be worked out again from it.',
    'Begin a new log with `--log`; the old one stays readable.',
  ),
  'log-unread': byCommand.warning(
    'The checks in the log were not counted',
    'A log with faults cannot be worked out again, so this check was decided by itself.',
    'Correct the lines that `follow` names; nothing in the log is changed by a release.',
  ),
  'log-line-open': byCommand.warning(
    'The last line of the check log was never finished',
    'Writing it was interrupted. It was left as it is, and the new check stands on a line of its own.',
    'Complete or remove the broken line by hand, so that the log can be read again.',
  ),
  'follow-far': byCommand.warning(
    'A check lies far from what those before it let expect',
    'Beyond three standard deviations of what changes from lot to lot, syringe to syringe and hour to hour a slip is likelier than chance.',
    'Check again before anything is set; look for air, a bent or wrong needle, the pressure, a slip of the pen.',
  ),
  'follow-empty': byCommand.error(
    'The log has no check to follow',
    'Without a check of this recipe that keeps its readings there is nothing to go by.',
    'Log checks with `release --log`, and name the recipe that they were made with.',
  ),
  'release-reading': byCommand.error(
    'A reading of the release is impossible',
    'No drop of this resin has such a diameter, or no shot such a mass.',
    'Check the reading and its unit.',
  ),
  'release-one-reading': byCommand.warning(
    'The release rests on a single reading',
    'One reading has no scatter; its interval rests on the spread that the recipe predicts. Were that wrong, nothing in the check could show it.',
    'Take three dots or weighings at least.',
  ),
  'release-conditions': byCommand.warning(
    'Age or temperature of the check is not given',
    'The resin thickens with age and thins with warmth. Without them the log cannot tell a thick lot from a late check.',
    'Give `--age` and `--temperature`.',
  ),
  'release-shots': byCommand.warning(
    'The readings look like another number of shots',
    'A dot of three shots taken for one, or one taken for three, makes the syringe look wrong by that much, and its check goes into the log so.',
    'Say how many shots lie on each dot or in each weighing with `--shots`.',
  ),
  'release-undecided': byCommand.warning(
    'The readings do not decide',
    'Part of the interval lies inside the window and part outside. A syringe is released only when all of it lies inside (ISO 14253-1).',
    'Take as many more readings as the result says, put more shots on one dot, or weigh.',
  ),
  'release-trim-proportional': byCommand.warning(
    'The trim was taken in proportion',
    'Without a flow model the shot is taken to grow with the dwell alone, which leaves out dead time and the rise of the air.',
    'Complete the blocks that the message names.',
  ),
  'release-trim-impractical': byCommand.warning(
    'The trimmed dwell is outside the practical range',
    'So short or long a dwell is a sign that the setting does not suit this syringe.',
    'Choose another pressure with `setpoint`, at the thickness of the result as `--lot-factor`.',
  ),
  'trials-levels': byCommand.error(
    'The trial has too few possible settings',
    'The station limits or its resolution leave fewer settings than were asked for, or none at which the resin flows.',
    'Ask for fewer, name them yourself, or widen the limits of the station.',
  ),
  'trials-confounded': byCommand.warning(
    'The trial cannot tell everything apart',
    'With one pressure an offset looks like a thicker resin, and with one dwell so does a dead time.',
    'Try two settings of it at least, three to see a curvature.',
  ),
  'trials-precision': byCommand.warning(
    'The trial does not reach the wanted confidence',
    'With so many weighings and such a scatter, the interval of the fit will be wider than wanted.',
    'Make more replicates, put more shots on one weighing, or spread the settings wider.',
  ),
  'trials-ages': byCommand.warning(
    'The ages of the trial are too close together',
    'Age runs with the clock: a block that is not finished when the next is due pushes it back.',
    'Fewer runs in a block, or ages further apart. The fit takes the age you write down, not the planned one.',
  ),
  'trials-resin': byCommand.warning(
    'The trial takes more resin than one syringe holds',
    'A second syringe is a second needle or a second mix, and the trial then measures their difference as well.',
    'Fewer shots on one weighing, fewer replicates, or name the syringe in the notes of each run.',
  ),
};

export const floorFinding = findingOf(floorCodes);
