import { runCommand } from './commands.ts';
import { letHeapsGrow } from './heaps.ts';
import { watchStreams } from './streams.ts';

watchStreams();
letHeapsGrow();
process.exitCode = await runCommand(process.argv.slice(2));
