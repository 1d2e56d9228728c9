export function compileKernels(): Promise<void>;
export function compiledKernels(): Promise<string>;
