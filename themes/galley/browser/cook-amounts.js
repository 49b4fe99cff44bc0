"use strict";
((cook) => { cook.amounts = {}; })((globalThis.GramwrightCook ??= {}));
