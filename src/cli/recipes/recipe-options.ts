import { type Command, InvalidArgumentError } from 'commander';

/** Declares the recipes a command reads, and the options that go with them. */
export function addRecipeArguments(command: Command, options: { readonly optional?: boolean } = {}): Command {
  const shape = options.optional === true ? '[recipe...]' : '<recipe...>';
  return addRecipeOptions(command.argument(shape, 'recipe files, folders, patterns, or - for standard input'));
}

/** The options alone, for a command that declares its arguments itself. */
export function addRecipeOptions(command: Command): Command {
  return command
    .option('--set <path=value>', 'override a recipe value; repeatable', collectSet)
    .option('--root <folder>', 'folder that `from` may not leave');
}

/** Gathers a repeatable option. */
export function collect(value: string, previous: readonly string[] | undefined): string[] {
  return [...(previous ?? []), value];
}

function collectSet(value: string, previous: readonly string[] | undefined): string[] {
  if (!/^[^=\s][^=]*=/.test(value)) {
    throw new InvalidArgumentError('Write path=value, such as resin.rheology.viscosity="3 Pa.s".');
  }
  return collect(value, previous);
}
