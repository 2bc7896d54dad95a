import { REPORT_PROTOCOL, type ReportApi } from '../../../workers/report-protocol.ts';
import { reportFonts } from '../kit/report-fonts.ts';
import { WorkerClient } from '../kit/worker-client.ts';

/** The worker that writes and checks reports; started at its first call, with the fonts that it embeds. */
export const reportClient = (): WorkerClient<ReportApi> =>
  new WorkerClient<ReportApi>({
    start: () => new Worker(new URL('../../../workers/report.worker.ts', import.meta.url), { type: 'module' }),
    protocol: REPORT_PROTOCOL,
    prepare: async (api) => void (await api.fonts(await reportFonts())),
  });
