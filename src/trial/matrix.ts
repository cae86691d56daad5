/** The axes of a trial, in the order in which they are joined to a case's id. */
export const AXES = ['scenario', 'module', 'seed', 'faults'] as const;

/** A value of each axis, as text. */
export type AxisValues = Readonly<Record<(typeof AXES)[number], string>>;

/** Values by axis; an axis without values is free. */
export type Pattern = Readonly<Partial<Record<string, readonly string[]>>>;

/** Whether a case is one of those that a pattern means. */
export function matches(values: AxisValues, pattern: Pattern): boolean {
  return AXES.every((axis) => pattern[axis]?.includes(values[axis]) ?? true);
}

/**
 * The part of a list that shard K of N has: every Nth, beginning with the Kth. All shards together have each item once,
 * and parts differ by one in size at most.
 * @param shard null: all
 */
export function shardOf<Item>(items: readonly Item[], shard: Shard | null): Item[] {
  if (shard === null) return [...items];
  return items.filter((_, index) => index % shard.of === shard.part - 1);
}

/** Shard `part` (from 1) of `of`. */
export interface Shard {
  readonly part: number;
  readonly of: number;
}
