// Where chromium lies: as CALOTTE_CHROMIUM names it, else on the search path.
import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

export function chromiumPath() {
    const named = process.env.CALOTTE_CHROMIUM ?? 'chromium';
    if (named.includes('/')) return named;
    for (const folder of (process.env.PATH ?? '').split(delimiter)) {
        const path = join(folder, named);
        if (existsSync(path)) return path;
    }
    throw new Error(`${named} is not on the path: install chromium, or set CALOTTE_CHROMIUM`);
}
