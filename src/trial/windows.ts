import type { Evidence, FaultSpan } from './evidence.js';
import type { Span, WindowSettings } from './expectation.js';

/**
 * The times in which an expectation counts, in order and apart from each other; empty: there are none. What a span
 * of `during` has outside of from and to is cut off, and so is what lies beyond the case's end.
 */
export function windowsOf({ fromS, toS, during }: WindowSettings, evidence: Evidence): Span[] {
  const beginMs = Math.round((fromS ?? 0) * 1000);
  const endMs = Math.min(evidence.endMs, toS === null ? Infinity : Math.round(toS * 1000));
  if (endMs <= beginMs) return [];
  if (during === null) return [{ beginMs, endMs }];
  const spans = evidence.faults
    .filter((fault) => isMeant(fault, during))
    .map((fault) => ({ beginMs: Math.max(beginMs, fault.beginMs), endMs: Math.min(endMs, fault.endMs) }))
    .filter((span) => span.beginMs < span.endMs)
    .sort((a, b) => a.beginMs - b.beginMs);
  return joined(spans);
}

/** Why there are none, a clause without a full stop. */
export function whyNoWindow({ fromS, toS, during }: WindowSettings, evidence: Evidence): string {
  const isKnown = during !== null && evidence.faults.some((fault) => isMeant(fault, during));
  if (during !== null && !isKnown) return `no fault and no surroundings "${during}" were in force`;
  const ended = `the case ended after ${evidence.endMs / 1000} s`;
  if ((fromS ?? 0) * 1000 >= evidence.endMs) return `${ended}, and it counts from ${fromS} s on`;
  const upTo = toS === null ? '' : ` to ${toS} s`;
  return `"${during}" was not in force from ${fromS ?? 0} s${upTo === '' ? ' on' : upTo}`;
}

/** Whether a time is in one of the windows; what comes after the case's end still belongs to one that reaches it. */
export function isWithin(windows: readonly Span[], evidence: Evidence, atMs: number): boolean {
  return windows.some(
    ({ beginMs, endMs }) => atMs >= beginMs && (atMs < endMs || (endMs === evidence.endMs && atMs >= endMs)),
  );
}

/** By its id, by the name of its entry, or by its kind or the surroundings' name. */
function isMeant({ id, kind }: FaultSpan, during: string): boolean {
  const point = id.lastIndexOf('.');
  return id === during || kind === during || (point > 0 && id.slice(0, point) === during);
}

/** Spans that touch or overlap are one. */
function joined(spans: readonly Span[]): Span[] {
  const apart: Span[] = [];
  for (const span of spans) {
    const last = apart.at(-1);
    if (last === undefined || span.beginMs > last.endMs) apart.push(span);
    else apart[apart.length - 1] = { beginMs: last.beginMs, endMs: Math.max(last.endMs, span.endMs) };
  }
  return apart;
}
