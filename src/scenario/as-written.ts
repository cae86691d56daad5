import { isDeepStrictEqual } from 'node:util';
import { LodestubError } from '../base/error.js';
import type { FaultKind } from '../faults/fault.js';
import type { Surroundings } from '../sim/surroundings.js';

/** What a quantity's number in SI may have behind it; the empty one is a number without a unit. */
const UNITS = ['', ' s', ' m', ' m/s', ' m/s2', ' deg', ' deg/s', ' Hz', ' /s', ' dB'];

type Path = ReadonlyArray<string | number>;

/**
 * A fault's settings as a scenario would have them, from what they were read as: quantities get their units back.
 * @throws LodestubError `journal.settings` where there is no way to write them
 */
export function settingsAsWritten(kind: FaultKind, settings: unknown): unknown {
  const written: unknown = structuredClone(settings);
  for (const path of numbersIn(settings)) {
    const value = valueAt(settings, path) as number;
    const unit = UNITS.find((each) => {
      put(written, path, each === '' ? value : `${value}${each}`);
      return !hasIssueAt(kind, written, path);
    });
    if (unit === undefined) put(written, path, value);
  }
  const read = kind.settings.safeParse(written);
  if (read.success && isSame(read.data, settings)) return written;
  throw new LodestubError({
    code: 'journal.settings',
    path: kind.name,
    expected: 'settings that this version can write into a scenario',
    received: JSON.stringify(settings),
  });
}

/** A journal has no undefined values. */
function isSame(a: unknown, b: unknown): boolean {
  return isDeepStrictEqual(JSON.parse(JSON.stringify(a)), JSON.parse(JSON.stringify(b)));
}

function hasIssueAt(kind: FaultKind, written: unknown, path: Path): boolean {
  const { success, error } = kind.settings.safeParse(written);
  return !success && error.issues.some((issue) => path.every((part, index) => issue.path[index] === part));
}

/** The ways to all numbers within a value. */
function numbersIn(value: unknown, path: Path = []): Path[] {
  if (typeof value === 'number') return [path];
  if (typeof value !== 'object' || value === null) return [];
  const isList = Array.isArray(value);
  return Object.entries(value).flatMap(([key, each]) => numbersIn(each, [...path, isList ? Number(key) : key]));
}

function valueAt(root: unknown, path: Path): unknown {
  let value = root;
  for (const part of path) value = (value as Record<string | number, unknown>)[part];
  return value;
}

function put(root: unknown, path: Path, value: unknown): void {
  const parent = valueAt(root, path.slice(0, -1)) as Record<string | number, unknown>;
  parent[path.at(-1) as string | number] = value;
}

/** Surroundings as a scenario would have them. */
export function surroundingsAsWritten(around: Surroundings): unknown {
  switch (around.kind) {
    case 'open':
    case 'tunnel':
      return around.kind;
    case 'horizon':
      return { horizon: around.points };
    case 'street-canyon': {
      const { widthM, leftHeightM, rightHeightM, directionDeg } = around;
      const direction = directionDeg === null ? {} : { direction: `${directionDeg} deg` };
      const street = { width: `${widthM} m`, left: `${leftHeightM} m`, right: `${rightHeightM} m`, ...direction };
      return { 'street-canyon': street };
    }
    case 'forest':
      return { forest: { canopy: `${around.canopyM} m`, 'loss-per-m': `${around.lossDbPerM} dB` } };
    case 'indoors':
      return { indoors: { roof: `${around.roofDb} dB`, wall: `${around.wallDb} dB` } };
  }
}
