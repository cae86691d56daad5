import fc from 'fast-check';

/**
 * Properties are drawn alike in every run, as all that is random here: what fails, fails again. `LODESTUB_DRAW=7` draws
 * others; `npm run soak` draws anew each time.
 */
fc.configureGlobal({ seed: Number(process.env.LODESTUB_DRAW ?? 1) });
