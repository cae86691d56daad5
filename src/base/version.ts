/** Version of Lodestub, as in `package.json`: what a run's bytes depend on beside scenario, seed and module. */
export const VERSION = '0.4.0';
