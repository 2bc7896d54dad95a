/** Hands bytes to the person as a file. */
export function saveFile(name: string, content: BlobPart, type: string): void {
  const url = URL.createObjectURL(new Blob([content], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The browser takes the file at once; one turn later the address may go.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
