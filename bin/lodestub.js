#!/usr/bin/env node
// The command line comes as one bundle: it starts in half the time that its many small files take.
import { main } from '../dist/bundle/main.js';

process.exitCode = await main(process.argv);
