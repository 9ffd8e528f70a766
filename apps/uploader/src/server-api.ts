import {
  knownLogsResponse,
  type Problem,
  problem as problemSchema,
  type Upload,
  upload as uploadSchema,
  uploadsResponse,
  vehiclePage,
} from '@syncline/contract';
import { EXIT, FatalError } from './exit-code.js';

/** An answer that takes longer than this is not waited for (ms). */
const ANSWER_MS = 60_000;

/** The server did not answer, or answered that it cannot now: worth another try. */
export class Unreachable extends Error {
  override readonly name = 'Unreachable';
}

/** The server will not take this, however often it is asked. */
export class Refusal extends Error {
  override readonly name = 'Refusal';
  readonly status: number;

  constructor(status: number, message: string) {
    super(message);
    this.status = status;
  }
}

/** What is said of a file when its upload is begun. */
export interface Claim {
  readonly vehicleId: string;
  readonly fileName: string;
  readonly sizeBytes: number;
  readonly drivenAt: string;
  readonly sha256: string;
  readonly head: string;
}

/** The part of the API that sends drives. Throws Unreachable, Refusal, or FatalError when the token may not do it. */
export class ServerApi {
  private readonly server: string;
  private readonly token: string;

  constructor(server: string, token: string) {
    this.server = server;
    this.token = token;
  }

  get headers(): Record<string, string> {
    return { authorization: `Bearer ${this.token}` };
  }

  uploadUrl(uploadId: string): string {
    return `${this.server}/api/v1/uploads/${encodeURIComponent(uploadId)}`;
  }

  async listCars(): Promise<{ readonly id: string; readonly title: string }[]> {
    const cars: { id: string; title: string }[] = [];
    let cursor: string | null = null;
    do {
      const query: string = new URLSearchParams({ limit: '200', ...(cursor && { cursor }) }).toString();
      const page = vehiclePage.parse(await this.json('GET', `/vehicles?${query}`));
      cars.push(...page.items.map(({ id, title }) => ({ id, title })));
      cursor = page.nextCursor;
    } while (cursor !== null);
    return cars;
  }

  /** The log that these bytes are already, if they are. */
  async findKnown(vehicleId: string, sha256: string): Promise<string | undefined> {
    const body = { vehicle: vehicleId, sha256: [sha256] };
    return knownLogsResponse.parse(await this.json('POST', '/uploads/known', body)).items[0]?.logId;
  }

  /** Id of an upload of these bytes that was begun and not ended. */
  async findUnfinished(vehicleId: string, sha256: string): Promise<string | undefined> {
    const { items } = uploadsResponse.parse(
      await this.json('GET', `/uploads?vehicle=${encodeURIComponent(vehicleId)}`),
    );
    return items.find((upload) => upload.state === 'receiving' && upload.sha256 === sha256)?.id;
  }

  async begin({ vehicleId, fileName, sizeBytes, drivenAt, sha256, head }: Claim): Promise<string> {
    const said = Object.entries({ vehicle: vehicleId, fileName, drivenAt, sha256, head });
    const response = await this.ask('POST', '/uploads', {
      headers: {
        'tus-resumable': '1.0.0',
        'upload-length': String(sizeBytes),
        'upload-metadata': said.map(([key, value]) => `${key} ${Buffer.from(value).toString('base64')}`).join(','),
      },
    });
    const uploadId = response.headers.get('location')?.split('/').at(-1);
    if (!uploadId) throw new Unreachable('The server did not say where to send the file. Is it a Syncline server?');
    return uploadId;
  }

  async find(uploadId: string): Promise<Upload> {
    return uploadSchema.parse(await this.json('GET', `/uploads/${encodeURIComponent(uploadId)}`));
  }

  private async json(method: string, path: string, body?: unknown): Promise<unknown> {
    const init =
      body === undefined ? {} : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } };
    const response = await this.ask(method, path, init);
    return response.json().catch((cause) => {
      throw new Unreachable(`${this.server} does not answer as a Syncline server does.`, { cause });
    });
  }

  private async ask(method: string, path: string, init: RequestInit): Promise<Response> {
    const response = await fetch(`${this.server}/api/v1${path}`, {
      ...init,
      method,
      headers: { ...this.headers, ...(init.headers as Record<string, string>) },
      signal: AbortSignal.timeout(ANSWER_MS),
    }).catch((cause) => {
      throw new Unreachable(`${this.server} does not answer.`, { cause });
    });
    if (!response.ok) throw toError(response.status, await response.text().catch(() => ''));
    return response;
  }
}

/** What a refused answer means for the run. */
export function toError(status: number, body: string): Error {
  const document = parseProblem(body);
  const said = document ? `${document.detail} ${document.remedy}` : `The server answered with status ${status}.`;
  if (status === 401 || (status === 403 && document)) return new FatalError(EXIT.notAllowed, said);
  if (status === 429 || status >= 500) return new Unreachable(said);
  return new Refusal(status, said);
}

function parseProblem(body: string): Problem | undefined {
  try {
    return problemSchema.parse(JSON.parse(body));
  } catch {
    return undefined;
  }
}
