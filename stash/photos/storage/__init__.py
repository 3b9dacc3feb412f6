"""Where the working pictures lie: in a folder of this machine, or with an object storage."""
