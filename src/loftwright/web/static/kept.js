// What a browser keeps for a page. One that refuses storage throws at the first word of it; then
// nothing is kept, which is told by what is returned, and the page goes on.
const keepsIn = (name) => ({
  read: (key) => {
    try {
      return JSON.parse(window[name].getItem(key));
    } catch {
      return null;
    }
  },
  write: (key, value) => {
    try {
      window[name].setItem(key, JSON.stringify(value));
      return true;
    } catch {
      return false;
    }
  },
  forget: (key) => {
    try {
      window[name].removeItem(key);
      return true;
    } catch {
      return false;
    }
  },
});

export const inBrowser = keepsIn("localStorage");
export const inTab = keepsIn("sessionStorage");
