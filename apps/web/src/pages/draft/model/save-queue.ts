import type { RevisionContentDocument, SaveDraftResponse } from '@syncline/contract';

/** Whether the draft on this page is the draft on the server. */
export type SaveState =
  | { readonly kind: 'saved'; readonly at: string }
  /** Changed a moment ago; it is sent when the typing pauses. */
  | { readonly kind: 'waiting' }
  | { readonly kind: 'saving' }
  /** `isTriedAgain` where it goes on by itself; else somebody has to decide first. */
  | { readonly kind: 'failed'; readonly error: unknown; readonly isTriedAgain: boolean };

interface SaveQueueOptions {
  readonly version: number;
  readonly savedAt: string;
  readonly send: (request: { version: number; content: RevisionContentDocument }) => Promise<SaveDraftResponse>;
  /** Whether trying again may help: the network or the server is away. */
  readonly isPassing: (error: unknown) => boolean;
}

/** Who is told how the saving goes. */
export interface SaveListener {
  /** A save arrived: what it was, and what the server says of it. */
  readonly onSaved: (content: RevisionContentDocument, answer: SaveDraftResponse) => void;
  readonly onState: (state: SaveState) => void;
}

/** Pause in typing after which a change is sent (ms). */
export const SAVE_DELAY_MS = 1000;
/** Waits between tries while the server is away, the last one for good (ms). */
const RETRY_DELAYS_MS = [2000, 5000, 15_000, 30_000];

/**
 * Saves one draft, one request at a time and always the newest content. Each save names the version that it was made
 * from, so that nobody's work is overwritten unseen; a refusal stops the queue until `resume`.
 */
export class SaveQueue {
  readonly #options: SaveQueueOptions;
  #listener: SaveListener | null = null;
  #version: number;
  #savedAt: string;
  #wanted: RevisionContentDocument | null = null;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #running: Promise<void> | null = null;
  #failures = 0;
  #isStopped = false;

  constructor(options: SaveQueueOptions) {
    this.#options = options;
    this.#version = options.version;
    this.#savedAt = options.savedAt;
  }

  /** Tells one listener from now on; the function that comes back ends that. */
  listen(listener: SaveListener): () => void {
    this.#listener = listener;
    return () => {
      if (this.#listener === listener) this.#listener = null;
    };
  }

  /** The version on the server that this page knows of. */
  get version(): number {
    return this.#version;
  }

  get isClean(): boolean {
    return this.#wanted === null && this.#running === null;
  }

  /** The draft is now this; it is sent after a pause. */
  put(content: RevisionContentDocument): void {
    this.#wanted = content;
    if (this.#isStopped) return;
    if (this.#running === null) this.#listener?.onState({ kind: 'waiting' });
    this.#schedule(SAVE_DELAY_MS);
  }

  /** Sends what is left at once. Resolves with whether all is saved. */
  async flush(): Promise<boolean> {
    while (!this.isClean && !this.#isStopped) {
      clearTimeout(this.#timer);
      const failuresBefore = this.#failures;
      await (this.#running ?? this.#start());
      if (this.#failures > failuresBefore) break;
    }
    return this.isClean;
  }

  /** Goes on after a refusal or after the draft was loaded anew, from the version that the server is known to have. */
  resume({ version, savedAt }: { readonly version: number; readonly savedAt: string }): void {
    this.#version = version;
    this.#savedAt = savedAt;
    this.#isStopped = false;
    this.#failures = 0;
    if (this.#wanted === null) return this.#listener?.onState({ kind: 'saved', at: savedAt });
    this.#listener?.onState({ kind: 'waiting' });
    this.#schedule(0);
  }

  /** What waits to be sent is the server's own content, or not wanted any more. */
  forget(): void {
    clearTimeout(this.#timer);
    this.#wanted = null;
  }

  #schedule(delayMs: number): void {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void (this.#running ?? this.#start()), delayMs);
  }

  #start(): Promise<void> {
    if (this.#wanted === null) return Promise.resolve();
    this.#running = this.#save(this.#wanted).finally(() => {
      this.#running = null;
    });
    return this.#running.then(() => this.#settle());
  }

  async #save(content: RevisionContentDocument): Promise<void> {
    this.#listener?.onState({ kind: 'saving' });
    try {
      const answer = await this.#options.send({ version: this.#version, content });
      this.#version = answer.version;
      this.#savedAt = answer.updatedAt;
      this.#failures = 0;
      if (this.#wanted === content) this.#wanted = null;
      this.#listener?.onSaved(content, answer);
    } catch (error) {
      this.#failures += 1;
      const isTriedAgain = this.#options.isPassing(error);
      this.#isStopped = !isTriedAgain;
      this.#listener?.onState({ kind: 'failed', error, isTriedAgain });
    }
  }

  /** After a try: done, again after a wait, or the content that came meanwhile. */
  #settle(): void {
    if (this.#isStopped || this.#running !== null) return;
    if (this.#failures > 0) {
      return this.#schedule(RETRY_DELAYS_MS[Math.min(this.#failures, RETRY_DELAYS_MS.length) - 1]);
    }
    if (this.#wanted === null) return this.#listener?.onState({ kind: 'saved', at: this.#savedAt });
    this.#listener?.onState({ kind: 'waiting' });
    this.#schedule(SAVE_DELAY_MS);
  }
}
