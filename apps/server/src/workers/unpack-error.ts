/** A file that cannot be unpacked, holds no single log, or unpacks to more than is allowed. The message can be shown. */
export class UnpackError extends Error {
  override readonly name = 'UnpackError';
  readonly code: 'log.unreadable' | 'log.tooLarge';

  constructor(code: UnpackError['code'], message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}
