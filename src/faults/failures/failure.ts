/** Something that breaks host software in the field, and how it comes about here. */
export interface FieldFailure {
  /** Its name in the list that was collected from host software's own reports. */
  readonly id: string;
  /** 1 to 20 among the worst, by how many projects met it and the harm done; null: not ranked. */
  readonly rank: number | null;
  /** What the host sees. */
  readonly sees: string;
  /** What that has done to host software. */
  readonly harm: string;
  /** What brings it about: a fault's kind, a setting, or by itself what the receiver measures or the wire does. */
  readonly by: 'fault' | 'setting' | 'physics' | 'wire';
  /** The fault's name, the setting's, or what of the physics or the wire it is. */
  readonly of: string;
  /** Another way in which a part of it comes about. */
  readonly also?: string;
  /** Lines of a scenario that make it happen: each is a key of it, in place of the base's where that has it. */
  readonly lines: readonly string[];
  /** What in the bytes or the journal shows that the host sees it. */
  readonly shown: string;
}
