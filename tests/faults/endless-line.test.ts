import { expect, it } from 'vitest';
import { sentBytes } from '../run/helper.js';
import { putBetween } from './between-helper.js';

it.each([
  { share: 0.02, size: 600 },
  { share: 0.2, size: 90 },
])('endless-line puts printable characters without line end or $ before some sentences: %j', async (settings) => {
  const { struck, bursts } = await putBetween('endless-line', settings);
  for (const burst of bursts) {
    expect(sentBytes(burst)).toHaveLength(settings.size);
    expect(sentBytes(burst).toString('latin1')).toMatch(/^[\x20\x22\x23\x25-\x7e]+$/);
  }
  // To a host that reads lines they are one line with the sentence behind them.
  const long = struck.bytes
    .toString('latin1')
    .split('\r\n')
    .filter((line) => line.length > settings.size);
  expect(long).toHaveLength(bursts.length);
  for (const line of long) expect(line.slice(settings.size)).toMatch(/^\$[A-Z]{5},.*\*[0-9A-F]{2}$/);
});
