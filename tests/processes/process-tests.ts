/** Tests that wait for other processes, most of them in real time: `npm run test:processes`. All others are in `npm test`. */
export const PROCESS_TESTS: readonly string[] = [
  'tests/cli/colours.test.ts',
  'tests/cli/control.test.ts',
  'tests/cli/hosts.test.ts',
  'tests/cli/inspect-ends.test.ts',
  'tests/cli/lists.test.ts',
  'tests/cli/outputs.test.ts',
  'tests/cli/run.test.ts',
  'tests/cli/tell-port.test.ts',
  'tests/cli/terminal.test.ts',
  'tests/end-to-end/**/*.test.ts',
  'tests/independent/hour.test.ts',
  'tests/inspect/find-speed-pty.test.ts',
  'tests/trial/host/host-process.test.ts',
  'tests/trial/reports/network-sources.test.ts',
];
