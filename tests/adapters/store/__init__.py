"""The store on a file and on a real server."""
