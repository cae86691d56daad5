import { describe, expect, it } from 'vitest';
import { sentBytes } from '../run/helper.js';
import { putBetween } from './between-helper.js';

/** Start bytes of protocols that receivers or their links do speak (from memory): none of them may be imitated. */
const REAL_STARTS = [
  'b562',
  'a0a1',
  'a0a2',
  '10',
  'aa44',
  '2440',
  'd3',
  '0424',
  '7e',
  'faff',
  '7565',
  '0d0a',
  '24',
  '21',
];

describe('binary-between', () => {
  it.each([
    { share: 0.3, size: 40 },
    { share: 0.2, size: 1 },
    { share: 0.05, size: 700 },
  ])('puts whole frames between sentences: %j', async (settings) => {
    const { bursts } = await putBetween('binary-between', settings);
    for (const burst of bursts) {
      const frame = sentBytes(burst);
      expect(frame).toHaveLength(settings.size + 6);
      expect(frame.subarray(0, 2).toString('hex')).toBe('c659');
      expect(frame.readUInt16LE(2)).toBe(settings.size);
      const sum = frame.subarray(2, -2).reduce((total, byte) => total + byte, 0);
      expect(frame.readUInt16LE(frame.length - 2)).toBe(sum % 65_536);
    }
  });

  it('has any byte in its payload, and a start of its own', async () => {
    const { bursts } = await putBetween('binary-between', { share: 0.3, size: 40 });
    const frames = bursts.map(sentBytes);
    // About 36,000 random bytes hold all 256 values (the chance that one is missing is below 1e-58).
    expect(new Set(frames.flatMap((frame) => [...frame.subarray(4, -2)])).size).toBe(256);
    const hex = frames[0]?.toString('hex') as string;
    for (const start of REAL_STARTS) expect(hex.startsWith(start), start).toBe(false);
  });
});
