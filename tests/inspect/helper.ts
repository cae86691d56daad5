import { Splitter } from '../../src/grammar/splitter.js';
import type { InspectReport, Item } from '../../src/inspect/inspect-report.js';
import { Inspector } from '../../src/inspect/inspector.js';
import type { StreamOptions } from '../../src/inspect/section.js';

/** Bytes that arrived together, a character each, and when, ms; null: nobody knows. */
export interface Delivery {
  readonly text: string;
  readonly atMs: number | null;
}

/** Inspects what arrived. */
export function inspectDeliveries(deliveries: Iterable<Delivery>, options: Partial<StreamOptions> = {}): InspectReport {
  const inspector = new Inspector({ name: 'test', kind: 'file', ...options }, 'a caution');
  const splitter = new Splitter((piece) => inspector.put(piece));
  for (const { text, atMs } of deliveries) splitter.push(text, atMs);
  splitter.end();
  return inspector.end();
}

/** Inspects a text as a recorded log. */
export function inspectText(text: string, options: Partial<StreamOptions> = {}): InspectReport {
  return inspectDeliveries([{ text, atMs: null }], options);
}

/** @throws where there is no such item */
export function itemOf({ items }: InspectReport, key: string): Item {
  const found = items.find((item) => item.key === key);
  if (found === undefined) throw new Error(`no item ${key}: ${items.map((item) => item.key).join(', ')}`);
  return found;
}
