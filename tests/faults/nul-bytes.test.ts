import { expect, it } from 'vitest';
import { sentBytes } from '../run/helper.js';
import { putBetween } from './between-helper.js';

it.each([
  { share: 0.3, size: 1 },
  { share: 0.2, size: 5 },
])('nul-bytes puts NUL before the $ of some sentences: %j', async (settings) => {
  const { struck, plain, bursts } = await putBetween('nul-bytes', settings);
  for (const burst of bursts) expect([...sentBytes(burst)]).toEqual(new Array(settings.size).fill(0));
  const text = struck.bytes.toString('latin1');
  expect(text.split('\0').length - 1).toBe(bursts.length * settings.size);
  expect(text.match(/\0+/g)?.length).toBe(text.match(/\0\$/g)?.length);
  expect(text.replaceAll('\0', '')).toBe(plain.bytes.toString('latin1'));
});
