/** Files of a folder that can be photos, or say what they show; the rest of a folder is passed over. */
const WANTED = /\.(jpe?g|png|heic|heif)$|(^|\/)job\.json$/i;
/** A folder deeper or fuller than this is not one of photos. */
const DEEPEST = 4;
const MOST_FILES = 2000;

/** What was dropped or chosen; the rest of a folder is counted, so that it can be said. */
export interface GivenFiles {
  readonly files: File[];
  /** Files in folders that are neither photos nor a job. */
  readonly passedOver: number;
}

/** Of all files of a folder those that can be photos, and a job file. */
export function fromFolder(all: readonly File[]): GivenFiles {
  const files = all.filter(({ name }) => WANTED.test(name) && !name.startsWith('.'));
  return { files, passedOver: all.length - files.length };
}

/** Files that were dropped, and those in folders that were dropped. Must be called while the event lasts. */
export function droppedFiles(transfer: DataTransfer | null): Promise<GivenFiles> {
  const entries = [...(transfer?.items ?? [])].map((item) => item.webkitGetAsEntry?.() ?? null);
  const plain = [...(transfer?.files ?? [])];
  return read(entries, plain);
}

async function read(entries: readonly (FileSystemEntry | null)[], plain: readonly File[]): Promise<GivenFiles> {
  const folders = entries.filter((entry) => entry !== null && entry.isDirectory) as FileSystemDirectoryEntry[];
  if (folders.length === 0) return { files: [...plain], passedOver: 0 };
  const single = entries.filter((entry) => entry !== null && entry.isFile) as FileSystemFileEntry[];
  const inside: File[] = [];
  for (const folder of folders) await collect(folder, inside, 0);
  const { files, passedOver } = fromFolder(inside);
  return { files: [...(await Promise.all(single.map(fileOf))), ...files], passedOver };
}

async function collect(folder: FileSystemDirectoryEntry, into: File[], depth: number): Promise<void> {
  const reader = folder.createReader();
  for (;;) {
    // A reader gives its entries in lots until there are none left.
    const entries = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (entries.length === 0) return;
    for (const entry of entries) {
      if (into.length >= MOST_FILES) return;
      if (entry.isFile) into.push(await fileOf(entry as FileSystemFileEntry));
      else if (depth < DEEPEST) await collect(entry as FileSystemDirectoryEntry, into, depth + 1);
    }
  }
}

const fileOf = (entry: FileSystemFileEntry): Promise<File> =>
  new Promise((resolve, reject) => entry.file(resolve, reject));
