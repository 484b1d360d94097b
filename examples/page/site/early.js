// Has the program compiled while it arrives, before all the rest of the page is here.

import { load } from "./keyorder.js";

load().catch(() => {}); // page.js asks again, and says what is wrong
