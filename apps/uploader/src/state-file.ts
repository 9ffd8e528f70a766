import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { EXIT, FatalError } from './exit-code.js';

/** A file as it was when it was sent: changed, it is another one. */
export interface SentFile {
  readonly sizeBytes: number;
  readonly modifiedMs: number;
  readonly sha256: string;
  readonly logId: string;
}

/** What is remembered for one car on one server. */
interface Memory {
  /** By absolute path. */
  files: Record<string, SentFile>;
  /** Uploads under way: ids by the hash of their file. */
  uploads: Record<string, string>;
}

interface Document {
  readonly version: 1;
  readonly cars: Record<string, Memory>;
}

/**
 * What was sent and what is under way, over restarts. Every change is written at once and whole, so that a power cut
 * loses at most the newest one, which the server still knows.
 */
export class StateFile {
  private readonly path: string;
  private readonly document: Document;
  private readonly memory: Memory;

  constructor(path: string, car: { readonly server: string; readonly vehicleId: string }) {
    this.path = path;
    this.document = readDocument(path);
    this.memory = this.document.cars[`${car.server} ${car.vehicleId}`] ??= { files: {}, uploads: {} };
  }

  isSent(path: string, { sizeBytes, modifiedMs }: Pick<SentFile, 'sizeBytes' | 'modifiedMs'>): boolean {
    const known = this.memory.files[path];
    return known?.sizeBytes === sizeBytes && known.modifiedMs === modifiedMs;
  }

  uploadOf(sha256: string): string | undefined {
    return this.memory.uploads[sha256];
  }

  noteBegun(sha256: string, uploadId: string): void {
    this.memory.uploads[sha256] = uploadId;
    this.write();
  }

  noteGivenUp(sha256: string): void {
    delete this.memory.uploads[sha256];
    this.write();
  }

  noteSent(path: string, file: SentFile): void {
    this.memory.files[path] = file;
    delete this.memory.uploads[file.sha256];
    this.write();
  }

  private write(): void {
    const unfinished = `${this.path}.part`;
    mkdirSync(dirname(this.path), { recursive: true });
    writeFileSync(unfinished, `${JSON.stringify(this.document, null, 1)}\n`, { mode: 0o600 });
    renameSync(unfinished, this.path);
  }
}

function readDocument(path: string): Document {
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return { version: 1, cars: {} };
    throw new FatalError(EXIT.usage, `--state: ${path} cannot be read`, { cause: error });
  }
  try {
    const document = JSON.parse(text) as Document;
    if (document.version === 1 && typeof document.cars === 'object') return document;
  } catch {
    // Told below: text that is no JSON is as wrong as JSON of another form.
  }
  throw new FatalError(EXIT.usage, `--state: ${path} is not a state file of this program; name another, or remove it`);
}
