/**
 * `good`: survey antenna in a clean place; `patch`: small antenna of a consumer module; `poor`: an antenna too small
 * for its band, badly placed.
 */
export type AntennaKind = 'good' | 'patch' | 'poor';
