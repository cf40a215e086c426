import { readSync } from 'node:fs';

/** What an open file still gives, `most` bytes at the most. */
export function readUpTo(descriptor: number, most: number): Buffer {
  const bytes = Buffer.allocUnsafeSlow(most);
  let done = 0;
  while (done < most) {
    const count = readSync(descriptor, bytes, done, most - done, null);
    if (count === 0) break;
    done += count;
  }
  return bytes.subarray(0, done);
}
