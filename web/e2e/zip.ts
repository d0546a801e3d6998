// Names in a zip archive, from its central directory (PKWARE APPNOTE 4.3.12, 4.3.16).

export function namesInZip(bytes: Buffer): string[] {
  let end = bytes.length - 22;
  while (end >= 0 && bytes.readUInt32LE(end) !== 0x06054b50) --end;
  if (end < 0) throw new Error("not a zip archive");
  const names: string[] = [];
  let at = bytes.readUInt32LE(end + 16);
  for (let i = 0; i < bytes.readUInt16LE(end + 10); ++i) {
    if (bytes.readUInt32LE(at) !== 0x02014b50) throw new Error("a broken central directory");
    const [name, extra, comment] = [28, 30, 32].map((offset) => bytes.readUInt16LE(at + offset));
    names.push(bytes.toString("utf8", at + 46, at + 46 + (name ?? 0)));
    at += 46 + (name ?? 0) + (extra ?? 0) + (comment ?? 0);
  }
  return names;
}
