import { runCommand } from './commands.ts';
import { watchStreams } from './streams.ts';

watchStreams();
process.exitCode = await runCommand(process.argv.slice(2));
