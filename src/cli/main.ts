import { runCommand } from './commands.ts';
import { setV8Flags } from './v8-flags.ts';
import { watchStreams } from './streams.ts';

watchStreams();
setV8Flags();
process.exitCode = await runCommand(process.argv.slice(2));
