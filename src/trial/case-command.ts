/** The one command that repeats a case. @param file the trial's */
export function caseCommand(file: string, id: string): string {
  return `lodestub trial ${quoted(file)} --case ${quoted(id)}`;
}

/** A word as a shell takes it for one. */
function quoted(word: string): string {
  return /^[\w./:@%+=,-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}
