import { beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME, build, run, shell } from '../built-program.ts';

// `-o /dev/stdout` and `-o /dev/fd/1` name a pipe, which is not written beside and renamed.
describe('an output that is the standard output of the call', () => {
  beforeAll(build, BUILD_TIME);

  it.each(['/dev/stdout', '/dev/fd/1'])('%s takes what would stand in a file', name => {
    const { stdout, stderr } = shell(`dwellbook schema -o ${name} | cat`);
    expect({ stdout, stderr }).toEqual({ stdout: run(['schema']).stdout, stderr: '' });
  });

  it('ends with 0 where the reader goes away, as without it, and does not wait for another', () => {
    for (const call of ['dwellbook schema -o /dev/stdout', 'dwellbook schema']) {
      const { stdout, stderr } = shell(
        `${call} | head -c 20; echo " \${PIPESTATUS[0]}"; ${call} | true; echo "\${PIPESTATUS[0]}"`,
      );
      expect({ stdout: stdout.slice(20), stderr }).toEqual({ stdout: ' 0\n0\n', stderr: '' });
    }
  });
});
